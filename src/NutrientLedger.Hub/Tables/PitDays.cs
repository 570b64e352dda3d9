using System.Globalization;
using NutrientLedger.Hub.Startup;
using NutrientLedger.Ledger.Configuration;
using NutrientLedger.Persistence.Queries;
using NutrientLedger.Web.Contracts.Storage;
using NutrientLedger.Web.Queries.Storage;
using Spectre.Console;

namespace NutrientLedger.Hub.Tables;

/// <summary>Prints day by day whether what left each pit reached the fields, for days with metered draws.</summary>
internal static class PitDays
{
    public static async Task PrintAsync(
        IAnsiConsole console,
        ReconciliationQuery query,
        string farm,
        FarmConfiguration configuration,
        LedgerView ledger,
        CancellationToken cancellationToken
    )
    {
        var table = new Table { Title = new("Did everything pumped reach the fields? (m³)") };
        foreach (var name in new[] { "day", "pit", "verdict", "metered", "unexplained" })
            table.AddColumn(new TableColumn(name).NoWrap());
        var findings = new List<string>();
        foreach (var pit in configuration.Pits)
        foreach (var day in await DaysAsync(query, farm, configuration, ledger, pit.PitId, cancellationToken))
        {
            var date = day.Day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
            table.AddRow(
                new Text(date),
                new Text(pit.Name),
                new Text(ReconciliationResponse.InWords(day.Verdict)),
                new Text(CubicMetres(day.MeteredCubicMetres)) { Justification = Justify.Right },
                new Text(CubicMetres(day.UnexplainedCubicMetres)) { Justification = Justify.Right }
            );
            if (day.Verdict is not "closes")
                findings.Add($"{date}, {pit.Name}: {day.Finding}");
        }
        console.Write(table);
        console.WriteLine(
            "Unexplained = start + in - out - metered - end. A day closes when measurement errors explain it."
        );
        foreach (var finding in findings)
            console.WriteLine(finding);
        if (findings.Count > 0)
            console.WriteLine(ReconciliationResponse.SafetyNote);
    }

    private static async Task<IEnumerable<ReconciledDayResponse>> DaysAsync(
        ReconciliationQuery query,
        string farm,
        FarmConfiguration configuration,
        LedgerView ledger,
        string pitId,
        CancellationToken cancellationToken
    )
    {
        DateOnly[] drawn =
        [
            .. ledger
                .Lines.Keys.Where(key => key.PitId == pitId)
                .Select(key =>
                    DateOnly.FromDateTime(configuration.Calendar!.ToFarmTime(key.HourStartSeconds * 1000).Date)
                )
                .Order(),
        ];
        if (drawn.Length == 0)
            return [];
        var (answer, problem) = await query.AskAsync(
            farm,
            pitId,
            Iso(drawn[0]),
            Iso(drawn[^1].AddDays(1)),
            asOf: null,
            cancellationToken
        );
        return answer?.Days.Where(day => drawn.Contains(day.Day)) ?? throw new HubStartException(problem!);
    }

    private static string Iso(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private static string CubicMetres(double? value) =>
        value?.ToString("N1", CultureInfo.InvariantCulture) ?? "not known";
}
