using System.Text.Json;
using NutrientLedger.Agronomy.Factors;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Journal.Readings;
using NutrientLedger.Journal.Sampling;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Ledger.Corrections;
using NutrientLedger.Ledger.Fields;
using static NutrientLedger.Tests.Ledger.Fields.SomeAvailability;

namespace NutrientLedger.Tests.Ledger.Corrections;

/// <summary>
/// Statements are stored as codes and numbers. Rewording a sentence must not change the stored form, or an old
/// statement would look forged.
/// </summary>
public class KeptStatementTests
{
    private const string By = "Ada Ash";
    private const string Reason = "Air in the hose";

    private static readonly IJournalEvent[] Spread = [Some.Batch(new Pass(11).Drive())];

    private static readonly CalibrationAdopted Adopted = new(
        "c",
        Some.Sensor,
        Analyte.TotalNitrogen,
        1_100_000,
        -100_000,
        Some.Morning.AddDays(-1),
        null,
        Some.Pit,
        ["r-1"],
        By,
        Reason
    );

    private static readonly IJournalEvent[] Corrections =
    [
        Adopted,
        // A rule decided and nobody wrote a reason, so no sentence is stored.
        new CalibrationAdoptedByRule(
            new(Some.Sensor, Analyte.TotalNitrogen, true, 5, 200),
            Adopted with
            {
                By = "the farm's rule",
                Reason = "Bias of 5 samples",
            }
        ),
        new CalibrationWithdrawn("c", By, Reason),
        new BoundaryRedrawn(Some.West, Some.Square(northE7: 100_000), new(2025, 1, 1), Reason),
        Some.Zone("ditch", Some.Square()) with
        {
            Name = "Ditch",
            Reason = Reason,
        },
        Some.Source("south-pit"),
        new ReadingsVoided("v", Some.DragLine, TelemetryStream.Spread, 1, 1, 5, VoidedPart.Reading, Reason, By),
        new VoidWithdrawn("v", Reason, By),
        new QuestionableTimeDecided(
            Some.DragLine,
            TelemetryStream.Spread,
            1,
            1,
            5,
            TimeDecision.LeftOut,
            0,
            Reason,
            By
        ),
        new ReadingLimitsSet(null, Some.Morning.AddDays(-1), [new(LimitedQuantity.TotalNitrogen, 0, 3_000, "judged")]),
        Some.Field(Some.East, Some.Square(Some.SideE7)),
        Some.Applicator(Some.Wagon),
        Some.Mounted(sensor: "nir-2"),
        Some.Farm(),
    ];

    /// <summary>
    /// Choices of a factor set and spreading methods, each with one reason for which available nitrogen is unknown.
    /// </summary>
    public static TheoryData<string, IJournalEvent[]> Choices =>
        new()
        {
            { "unknownFactorSet", [Set("of-another-hub", 2026)] },
            { "noCoefficient", [Set("minnesota", 2026), .. Method(SpreadingMethod.ClosedSlotInjection)] },
            { "noCoefficient", [.. Alberta("liquid")] },
            {
                "noCoefficient",
                [Set("new-york", 2026, ("animal", "dairy")), .. Method(SpreadingMethod.OpenSlotInjection)]
            },
        };

    public static TheoryData<int> Places => [.. Enumerable.Range(0, Corrections.Length)];

    [Theory]
    [MemberData(nameof(Places))]
    public void No_sentence_is_stored_of_any_correction(int place)
    {
        var text = Kept([.. Some.ConfigurationEvents()], Corrections[place]);

        Assert.Empty(WithSpaces(text).Except([By, Reason, "The west field", "The east field"]));
    }

    [Theory]
    [MemberData(nameof(Choices))]
    public void Why_available_nitrogen_is_unknown_is_stored_as_a_code(string code, IJournalEvent[] choice)
    {
        var text = Kept([.. Some.ConfigurationEvents(), .. choice], Adopted);

        Assert.Empty(WithSpaces(text).Except([By, Reason, "The west field"]));
        var reason = JsonDocument
            .Parse(text)
            .RootElement.GetProperty("fields")[0]
            .GetProperty("available")
            .GetProperty("unavailableAfter")
            .GetProperty("reasons")[0];
        Assert.Equal(code, reason.GetProperty("code").GetString());
        Assert.Equal(text, StatementCodec.Encode(StatementCodec.Decode(text)));
    }

    [Fact]
    public void The_stored_text_of_a_statement_stays_as_it_is()
    {
        StatedAmount changed = new(1.5m, 2m);
        StatedAmount unknown = new(null, null);
        var amounts = new StatedAmounts(
            changed,
            unknown,
            unknown,
            unknown,
            unknown,
            unknown,
            unknown,
            unknown,
            unknown,
            AtLeast: true
        );
        var missing = new MissingCoefficient(
            "a-set",
            "ammonium-retained",
            Set("x", 1, ("method", "broadcast")).Circumstances,
            MissingCause.NotGiven
        )
        {
            NotGiven = ["weather"],
        };
        var statement = new Statement(
            "three-elms",
            new("source_changed", "dragline-1", ["r-1"], By, Reason, Some.Morning, 77),
            [
                new(
                    "west",
                    "The west field",
                    2026,
                    amounts,
                    new(
                        "a-set",
                        unknown,
                        new([new NoCoefficient(missing, new("dragline-1", Some.Morning))], 2),
                        Unavailable.For(new LedgerTooYoung(new(2025, 10, 1)))
                    ),
                    [new(null, amounts)]
                ),
            ],
            [new("north-pit", 3)]
        );

        var none = """{"before":null,"after":null,"change":null}""";
        var kept =
            $$"""{"volumeCubicMetres":{"before":1.5,"after":2,"change":0.5},"disengagedCubicMetres":{{none}},"notPlacedCubicMetres":{{none}},"totalNitrogenKilograms":{{none}},"ammoniumNitrogenKilograms":{{none}},"p2O5Kilograms":{{none}},"k2OKilograms":{{none}},"dryMatterPercent":{{none}},"flaggedShareOfVolume":{{none}},"atLeast":true}""";
        var reasonsBefore =
            """{"reasons":[{"code":"noCoefficient","missing":{"setId":"a-set","kind":"ammonium-retained","circumstances":{"method":"broadcast"},"cause":"notGiven","notGiven":["weather"],"coefficient":null,"low":null,"high":null,"unit":null},"method":{"applicator":"dragline-1","hour":"2026-04-14T10:00:00-05:00"}}],"more":2}""";
        var reasonsAfter = """{"reasons":[{"code":"ledgerTooYoung","begins":"2025-10-01"}],"more":0}""";
        Assert.Equal(
            $$"""{"farm":"three-elms","cause":{"kind":"source_changed","id":"dragline-1","labReports":["r-1"],"by":"Ada Ash","reason":"Air in the hose","recordedAt":"2026-04-14T10:00:00-05:00","position":77},"fields":[{"field":"west","name":"The west field","season":2026,"amounts":{{kept}},"available":{"factorSet":"a-set","nitrogenKilograms":{{none}},"unavailableBefore":{{reasonsBefore}},"unavailableAfter":{{reasonsAfter}}},"pits":[{"pit":null,"amounts":{{kept}}}]}],"levels":[{"pit":"north-pit","hours":3}]}""",
            StatementCodec.Encode(statement)
        );
    }

    private static string Kept(IJournalEvent[] configuration, IJournalEvent correction)
    {
        var before = Some.Configuration(configuration);
        var after = before.With(correction);
        return StatementCodec.Encode(
            Statement.Of(
                "three-elms",
                StatementCause.Of(correction, before, Some.Recorded, 77),
                before,
                Some.Posted(before, Spread),
                after,
                Some.Posted(after, Spread)
            )
        );
    }

    private static IEnumerable<string> WithSpaces(string json) => Strings(JsonDocument.Parse(json).RootElement);

    private static IEnumerable<string> Strings(JsonElement element) =>
        element.ValueKind switch
        {
            JsonValueKind.Object => element.EnumerateObject().SelectMany(property => Strings(property.Value)),
            JsonValueKind.Array => element.EnumerateArray().SelectMany(Strings),
            JsonValueKind.String when element.GetString()!.Contains(' ') => [element.GetString()!],
            _ => [],
        };
}
