using System.Diagnostics.CodeAnalysis;
using Microsoft.AspNetCore.Http.HttpResults;

namespace NutrientLedger.Web.Http;

/// <summary>A value, or the problem that explains why there is none.</summary>
internal sealed class Result<T>
    where T : class
{
    private Result(T? value, ProblemHttpResult? problem) => (Value, Problem) = (value, problem);

    public T? Value { get; }

    public ProblemHttpResult? Problem { get; }

    [MemberNotNullWhen(true, nameof(Problem))]
    [MemberNotNullWhen(false, nameof(Value))]
    public bool IsProblem => Problem is not null;

    public static implicit operator Result<T>(T value) => new(value, null);

    public static implicit operator Result<T>(ProblemHttpResult problem) => new(null, problem);
}
