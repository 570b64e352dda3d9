using System.Globalization;
using NutrientLedger.Ledger;
using NutrientLedger.Office.Answers;
using NutrientLedger.Office.Asking;
using NutrientLedger.Store;
using Spectre.Console;

namespace NutrientLedger.Hub.Playback;

/// <summary>Prints day by day whether what left each pit reached the fields, for the days on which something was drawn by meter.</summary>
public static class PitDays
{
    public static async Task PrintAsync(
        IAnsiConsole console,
        ReconciliationInquiry inquiry,
        string farm,
        Register register,
        LedgerView ledger,
        CancellationToken cancellationToken
    )
    {
        var table = new Table { Title = new("Does what left the pit reach the field? (m³)") };
        foreach (var name in new[] { "day", "pit", "verdict", "metered", "unexplained" })
            table.AddColumn(new TableColumn(name).NoWrap());
        var findings = new List<string>();
        foreach (var pit in register.Pits)
        foreach (var day in await DaysAsync(inquiry, farm, register, ledger, pit.PitId, cancellationToken))
        {
            var date = day.Day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);
            table.AddRow(
                new Text(date),
                new Text(pit.Name),
                new Text(ReconciliationAnswer.InWords(day.Verdict)),
                new Text(CubicMetres(day.MeteredCubicMetres)) { Justification = Justify.Right },
                new Text(CubicMetres(day.UnexplainedCubicMetres)) { Justification = Justify.Right }
            );
            if (day.Verdict is not "closes")
                findings.Add($"{date}, {pit.Name}: {day.Finding}");
        }
        console.Write(table);
        console.WriteLine(
            "Unexplained: start + in - out - metered - end. It closes when the errors of level, tape, meter and set rate explain it."
        );
        foreach (var finding in findings)
            console.WriteLine(finding);
        if (findings.Count > 0)
            console.WriteLine(ReconciliationAnswer.UsualCaution);
    }

    private static async Task<IEnumerable<ReconciledDay>> DaysAsync(
        ReconciliationInquiry inquiry,
        string farm,
        Register register,
        LedgerView ledger,
        string pitId,
        CancellationToken cancellationToken
    )
    {
        DateOnly[] drawn =
        [
            .. ledger
                .Lines.Keys.Where(key => key.PitId == pitId)
                .Select(key => DateOnly.FromDateTime(register.Calendar!.OnTheClock(key.HourStartSeconds * 1000).Date))
                .Order(),
        ];
        if (drawn.Length == 0)
            return [];
        var (answer, problem) = await inquiry.AskAsync(
            farm,
            pitId,
            Written(drawn[0]),
            Written(drawn[^1].AddDays(1)),
            asOf: null,
            cancellationToken
        );
        return answer?.Days.Where(day => drawn.Contains(day.Day)) ?? throw new HubStartException(problem!);
    }

    private static string Written(DateOnly day) => day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    private static string CubicMetres(double? value) =>
        value?.ToString("N1", CultureInfo.InvariantCulture) ?? "not known";
}
