using NutrientLedger.Journal;
using NutrientLedger.Journal.Fields;
using NutrientLedger.Json;
using NutrientLedger.Web.Contracts.Farms;

namespace NutrientLedger.Web.Import.Farms;

/// <summary>
/// A farm file and the files it names, with all errors in any of them. The content is usable only without errors.
/// </summary>
internal sealed class FarmFile
{
    private readonly IReadOnlyList<FileProblem> otherProblems;

    private FarmFile(
        FarmFileContent? content,
        FileProblems farmProblems,
        FileProblems? fieldProblems,
        IReadOnlyList<FileProblem> otherProblems
    ) =>
        (Content, FarmProblems, FieldProblems, this.otherProblems) = (
            content,
            farmProblems,
            fieldProblems,
            otherProblems
        );

    public FarmFileContent? Content { get; }

    /// <summary>Errors in the farm file itself.</summary>
    public FileProblems FarmProblems { get; }

    /// <summary>Errors in the file of fields, if the farm file names one.</summary>
    public FileProblems? FieldProblems { get; }

    public IReadOnlyList<ImportProblem> Problems =>
        [
            .. FarmProblems
                .ByLine.Concat(FieldProblems?.ByLine ?? [])
                .Concat(otherProblems)
                .Select(problem => new ImportProblem(problem.File, problem.Line, problem.Problem)),
        ];

    public static async Task<FarmFile> ReadAsync(string path, CancellationToken cancellationToken)
    {
        var problems = new FileProblems(Path.GetFileName(path));
        if (await JsonFile.ReadAsync(path, problems, cancellationToken) is not { } whole)
            return new(null, problems, null, []);
        var file = new JsonObjectReader("the farm file", whole, problems);
        if (!file.IsObject)
            return new(null, problems, null, []);
        var folder = Path.GetDirectoryName(Path.GetFullPath(path))!;
        var farmPart = file.Nested("farm", "farm");
        var (id, farm) = farmPart is null ? ("", NoFarm) : FarmSection.Read(farmPart);

        var fieldsName = file.Text("fields");
        var fieldProblems = fieldsName.Length == 0 ? null : new FileProblems(fieldsName);
        var fields = fieldProblems is null
            ? null
            : await FieldFile.ReadAsync(
                Path.Combine(folder, fieldsName),
                farm.LedgerBegins,
                fieldProblems,
                cancellationToken
            );
        var zonesName = file.OptionalText("noSpreadZones") ?? "";
        var zoneProblems = new FileProblems(zonesName);
        var zones =
            zonesName.Length == 0
                ? []
                : await ZoneFile.ReadAsync(
                    Path.Combine(folder, zonesName),
                    farm.LedgerBegins,
                    zoneProblems,
                    cancellationToken
                );
        var availability = new AvailabilitySection(folder);
        var equipment = Equipment(
            file,
            availability,
            fields?.Select(field => field.Field.FieldId).Where(field => field.Length > 0).ToHashSet()
        );
        file.RejectUnknownMembers();
        return new(
            new(id, farmPart?.Line ?? 0, farm, fields ?? [], [.. zones, .. equipment]),
            problems,
            fieldProblems,
            [.. zoneProblems.ByLine, .. availability.OwnProblems]
        );
    }

    private static readonly FarmRegistered NoFarm = new("", "", 1, 1, new(2000, 1, 1), default);

    private static List<IJournalEvent> Equipment(
        JsonObjectReader file,
        AvailabilitySection availability,
        IReadOnlySet<string>? fields
    )
    {
        var (pits, applicators) = (new HashSet<string>(), new HashSet<string>());
        var events = new List<IJournalEvent>();
        events.AddRange(file.List("pits", "pit").Select(pit => EquipmentSections.Pit(pit, pits)));
        events.AddRange(
            file.List("applicators", "applicator").Select(it => EquipmentSections.Applicator(it, applicators))
        );
        var following = new ReferencingSections(fields, pits, applicators);
        var sensors = file.List("sensors", "sensor").Select(following.Sensor).ToArray();
        events.AddRange(sensors);
        events.AddRange(file.List("sources", "source").Select(following.Source));
        var methods = file.List("methods", "method").Select(following.Method).ToArray();
        events.AddRange(methods);
        events.AddRange(file.List("plans", "plan").Select(following.Plan));
        events.AddRange(file.List("deviations", "deviations").Select(new DeviationsSection(pits).Read));
        events.AddRange(file.List("limits", "limits").Select(new LimitsSection(applicators).Read));
        var rules = new RuleSection(sensors.Select(it => it.SensorId).ToHashSet());
        events.AddRange(file.List("calibrationRules", "calibration rule").Select(rules.Read));
        if (file.Optional("availability") is not null && file.Nested("availability", "availability") is { } choice)
            events.Add(availability.Read(choice, methods));
        return events;
    }
}
