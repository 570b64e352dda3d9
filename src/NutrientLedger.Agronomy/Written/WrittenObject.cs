using System.Text.Json;

namespace NutrientLedger.Agronomy.Written;

/// <summary>
/// An object of a hand-written file being read property by property. What is missing or wrong goes on the problem sheet and a
/// harmless value is given back, so that reading goes on and finds the next problem too.
/// </summary>
public sealed class WrittenObject
{
    private readonly ProblemSheet problems;
    private readonly Dictionary<string, WrittenMember> members = [];
    private readonly HashSet<string> asked = [];

    public WrittenObject(string what, WrittenValue value, ProblemSheet problems)
    {
        (What, Line, this.problems) = (what, value.Line, problems);
        if (value.Kind != JsonTokenType.StartObject)
            problems.Add(value.Line, $"{what} must be an object {{…}}, not {value.KindInWords}.");
        IsObject = value.Kind == JsonTokenType.StartObject;
        foreach (var member in value.Members)
            if (!members.TryAdd(member.Name, member))
                problems.Add(member.Line, $"{what}: \"{member.Name}\" is given twice; keep one.");
        if (members.TryGetValue("id", out var id) && id.Value.Kind == JsonTokenType.String)
            What = $"{what} \"{id.Value.Text}\"";
    }

    /// <summary>How messages name this object.</summary>
    public string What { get; }

    public int Line { get; }

    public bool IsObject { get; }

    /// <summary>Whether something was wrong with one of its properties, so that the harmless value given back means nothing.</summary>
    public bool HasProblem { get; private set; }

    public void Problem(string property, string text)
    {
        HasProblem = true;
        problems.Add(LineOf(property), $"{What}: {text}");
    }

    /// <summary>The value of a property; null in the file is the same as leaving it out.</summary>
    public WrittenValue? Optional(string property)
    {
        asked.Add(property);
        return members.TryGetValue(property, out var member) && member.Value.Kind != JsonTokenType.Null
            ? member.Value
            : null;
    }

    /// <summary>The value of a property that must be there.</summary>
    public WrittenValue? Required(string property)
    {
        var value = Optional(property);
        if (value is null && IsObject)
            Problem(property, $"\"{property}\" is missing.");
        return value;
    }

    /// <summary>An object inside this one; nothing, and one problem, when it is missing or something else.</summary>
    public WrittenObject? Nested(string property, string what)
    {
        if (Required(property) is not { } value)
            return null;
        var nested = new WrittenObject(what, value, problems);
        return nested.IsObject ? nested : null;
    }

    /// <summary>The objects of a list; a list that is left out is an empty one.</summary>
    public IEnumerable<WrittenObject> List(string property, string what)
    {
        if (Optional(property) is not { } list)
            return [];
        if (list.Kind == JsonTokenType.StartArray)
            return list.Items.Select(item => new WrittenObject(what, item, problems)).Where(item => item.IsObject);
        Problem(property, $"\"{property}\" must be a list […], not {list.KindInWords}.");
        return [];
    }

    /// <summary>Names every property that nobody asked for: a slip of the pen must not be silently ignored.</summary>
    public void NothingElse()
    {
        foreach (var member in members.Values.Where(member => !asked.Contains(member.Name)))
            problems.Add(
                member.Line,
                $"{What}: \"{member.Name}\" is not known here; known are {string.Join(", ", asked)}."
            );
    }

    private int LineOf(string property) => members.TryGetValue(property, out var member) ? member.Line : Line;
}
