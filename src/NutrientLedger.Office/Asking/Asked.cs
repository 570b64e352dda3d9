using System.Diagnostics.CodeAnalysis;
using Microsoft.AspNetCore.Http.HttpResults;

namespace NutrientLedger.Office.Asking;

/// <summary>What a question names, found; or the refusal that says why it was not.</summary>
internal sealed class Asked<T>
    where T : class
{
    private Asked(T? found, ProblemHttpResult? refusal) => (Found, Refusal) = (found, refusal);

    public T? Found { get; }

    public ProblemHttpResult? Refusal { get; }

    [MemberNotNullWhen(true, nameof(Refusal))]
    [MemberNotNullWhen(false, nameof(Found))]
    public bool IsRefused => Refusal is not null;

    public static implicit operator Asked<T>(T found) => new(found, null);

    public static implicit operator Asked<T>(ProblemHttpResult refusal) => new(null, refusal);
}
