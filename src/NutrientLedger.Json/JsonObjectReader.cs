using System.Text.Json;

namespace NutrientLedger.Json;

/// <summary>
/// An object of a hand-written file being read property by property. What is missing or wrong goes on the problem sheet and a
/// harmless value is given back, so that reading goes on and finds the next problem too.
/// </summary>
public sealed class JsonObjectReader
{
    private readonly FileProblems problems;
    private readonly Dictionary<string, PositionedJsonMember> members = [];
    private readonly HashSet<string> known = [];

    public JsonObjectReader(string what, PositionedJsonValue value, FileProblems problems)
    {
        (Label, Line, this.problems) = (what, value.Line, problems);
        if (value.Kind != JsonTokenType.StartObject)
            problems.Add(value.Line, $"{what} must be an object {{…}}, not {value.KindInWords}.");
        IsObject = value.Kind == JsonTokenType.StartObject;
        foreach (var member in value.Members)
            if (!members.TryAdd(member.Name, member))
                problems.Add(member.Line, $"{what}: \"{member.Name}\" is given twice; keep one.");
        if (members.TryGetValue("id", out var id) && id.Value.Kind == JsonTokenType.String)
            Label = $"{what} \"{id.Value.Text}\"";
    }

    /// <summary>How messages name this object.</summary>
    public string Label { get; }

    public int Line { get; }

    public bool IsObject { get; }

    /// <summary>Whether something was wrong with one of its properties, so that the harmless value given back means nothing.</summary>
    public bool HasProblem { get; private set; }

    public void AddProblem(string property, string text)
    {
        HasProblem = true;
        problems.Add(LineOf(property), $"{Label}: {text}");
    }

    /// <summary>The value of a property; null in the file is the same as leaving it out.</summary>
    public PositionedJsonValue? Optional(string property)
    {
        known.Add(property);
        return members.TryGetValue(property, out var member) && member.Value.Kind != JsonTokenType.Null
            ? member.Value
            : null;
    }

    /// <summary>The value of a property that must be there.</summary>
    public PositionedJsonValue? Required(string property)
    {
        var value = Optional(property);
        if (value is null && IsObject)
            AddProblem(property, $"\"{property}\" is missing.");
        return value;
    }

    /// <summary>An object inside this one; nothing, and one problem, when it is missing or something else.</summary>
    public JsonObjectReader? Nested(string property, string what)
    {
        if (Required(property) is not { } value)
            return null;
        var nested = new JsonObjectReader(what, value, problems);
        return nested.IsObject ? nested : null;
    }

    /// <summary>The objects of a list; a list that is left out is an empty one.</summary>
    public IEnumerable<JsonObjectReader> List(string property, string what)
    {
        if (Optional(property) is not { } list)
            return [];
        if (list.Kind == JsonTokenType.StartArray)
            return list.Items.Select(item => new JsonObjectReader(what, item, problems)).Where(item => item.IsObject);
        AddProblem(property, $"\"{property}\" must be a list […], not {list.KindInWords}.");
        return [];
    }

    /// <summary>Names every property that nobody asked for: a slip of the pen must not be silently ignored.</summary>
    public void RejectUnknownMembers()
    {
        foreach (var member in members.Values.Where(member => !known.Contains(member.Name)))
            problems.Add(
                member.Line,
                $"{Label}: \"{member.Name}\" is not known here; known are {string.Join(", ", known)}."
            );
    }

    private int LineOf(string property) => members.TryGetValue(property, out var member) ? member.Line : Line;
}
