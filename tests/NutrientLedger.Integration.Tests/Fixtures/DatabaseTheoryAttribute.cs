namespace NutrientLedger.Integration.Tests.Fixtures;

/// <summary>
/// A test of several cases that needs PostgreSQL; skipped and failing as <see cref="DatabaseFactAttribute"/> is.
/// </summary>
[AttributeUsage(AttributeTargets.Method)]
public sealed class DatabaseTheoryAttribute : TheoryAttribute
{
    public DatabaseTheoryAttribute() => Skip = new DatabaseFactAttribute().Skip;
}
