namespace NutrientLedger.Integration.Tests.Fixtures;

/// <summary>
/// A test of several cases that needs PostgreSQL; skips and fails like <see cref="DatabaseFactAttribute"/>.
/// </summary>
[AttributeUsage(AttributeTargets.Method)]
public sealed class DatabaseTheoryAttribute : TheoryAttribute
{
    public DatabaseTheoryAttribute() => Skip = new DatabaseFactAttribute().Skip;
}
