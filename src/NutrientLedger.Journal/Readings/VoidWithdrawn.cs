using NutrientLedger.Journal.Definitions;

namespace NutrientLedger.Journal.Readings;

/// <summary>
/// A void was withdrawn for the reason given. Its readings count again as if it had never been made.
/// </summary>
public sealed record VoidWithdrawn(string VoidId, string Reason, string By) : IDefinedEvent<VoidWithdrawn>
{
    public static EventDefinition<VoidWithdrawn> Definition { get; } =
        new("void_withdrawn", new(EventRoute.Decision, "voids"))
        {
            Scope = withdrawn =>
                [
                    new RebuildScope.SameAs(earlier =>
                        earlier is ReadingsVoided voided && voided.VoidId == withdrawn.VoidId
                    ),
                ],
            Subject = withdrawn => withdrawn.VoidId,
        };
}
