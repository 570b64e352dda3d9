using System.Text.Json;

namespace NutrientLedger.Json;

/// <summary>
/// Reads one object of a hand-written file, property by property. Each missing or wrong value is recorded as a problem.
/// A harmless value is returned instead, so that reading continues and finds the next problem too.
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
                problems.Add(member.Line, $"{what}: \"{member.Name}\" is given twice; keep only one.");
        if (members.TryGetValue("id", out var id) && id.Value.Kind == JsonTokenType.String)
            Label = $"{what} \"{id.Value.Text}\"";
    }

    /// <summary>The name of this object in messages.</summary>
    public string Label { get; }

    public int Line { get; }

    public bool IsObject { get; }

    /// <summary>
    /// Whether one of its properties was wrong. A value returned for such a property must not be used.
    /// </summary>
    public bool HasProblem { get; private set; }

    public void AddProblem(string property, string text)
    {
        HasProblem = true;
        problems.Add(LineOf(property), $"{Label}: {text}");
    }

    /// <summary>The value of a property. Null in the file means the same as leaving the property out.</summary>
    public PositionedJsonValue? Optional(string property)
    {
        known.Add(property);
        return members.TryGetValue(property, out var member) && member.Value.Kind != JsonTokenType.Null
            ? member.Value
            : null;
    }

    /// <summary>The value of a required property.</summary>
    public PositionedJsonValue? Required(string property)
    {
        var value = Optional(property);
        if (value is null && IsObject)
            AddProblem(property, $"\"{property}\" is missing.");
        return value;
    }

    /// <summary>
    /// An object inside this one. Returns null and records one problem when it is missing or is not an object.
    /// </summary>
    public JsonObjectReader? Nested(string property, string what)
    {
        if (Required(property) is not { } value)
            return null;
        var nested = new JsonObjectReader(what, value, problems);
        return nested.IsObject ? nested : null;
    }

    /// <summary>The objects of a list. A list that is left out is empty.</summary>
    public IEnumerable<JsonObjectReader> List(string property, string what)
    {
        if (Optional(property) is not { } list)
            return [];
        if (list.Kind == JsonTokenType.StartArray)
            return list.Items.Select(item => new JsonObjectReader(what, item, problems)).Where(item => item.IsObject);
        AddProblem(property, $"\"{property}\" must be a list […], not {list.KindInWords}.");
        return [];
    }

    /// <summary>
    /// Records a problem for every property that was never read, so that no misspelled name is ignored.
    /// </summary>
    public void RejectUnknownMembers()
    {
        foreach (var member in members.Values.Where(member => !known.Contains(member.Name)))
            problems.Add(
                member.Line,
                $"{Label}: \"{member.Name}\" is not known here; the known names are {string.Join(", ", known)}."
            );
    }

    private int LineOf(string property) => members.TryGetValue(property, out var member) ? member.Line : Line;
}
