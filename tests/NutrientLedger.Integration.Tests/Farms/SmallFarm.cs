using NutrientLedger.Journal;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Persistence.Messages;

namespace NutrientLedger.Integration.Tests.Farms;

/// <summary>
/// An invented farm of two fields, one pit and one drag line, as files in its own folder and as batches.
/// </summary>
internal sealed class SmallFarm : IDisposable
{
    /// <summary>21 April 2026, 14:00 UTC: 9:00 in the morning on the farm, in season 2026.</summary>
    public static readonly DateTimeOffset Morning = new(2026, 4, 21, 14, 0, 0, TimeSpan.Zero);

    private readonly string folder = Directory.CreateTempSubdirectory("small-farm-").FullName;

    public SmallFarm(string id)
    {
        Id = id;
        Write(FarmText, FieldsText);
    }

    public string Id { get; }

    public string Path => System.IO.Path.Combine(folder, "farm.json");

    public string FarmText =>
        $$"""
            {
              "farm": {
                "id": "{{Id}}",
                "name": "Small Farm",
                "timeZone": "America/Chicago",
                "seasonBegins": "10-01",
                "ledgerBegins": "2025-10-01",
                "coverageStep": { "latitudeE7": 90, "longitudeE7": 124 }
              },
              "fields": "fields.geojson",
              "pits": [
                {
                  "id": "tank",
                  "name": "Tank",
                  "shape": { "kind": "roundTank", "diameterMetres": 20, "depthMetres": 5 },
                  "fullDepthMetres": 4.5
                }
              ],
              "applicators": [
                { "id": "drag-line", "name": "Drag line", "kind": "dragLine", "workingWidthMetres": 12.0005, "meterCounts": "spreading" }
              ],
              "sensors": [
                { "id": "nir", "equipment": "drag-line", "place": "onApplicator", "host": "drag-line", "from": "2025-10-01T00:00:00-05:00" },
                { "id": "level", "equipment": "tank-level", "place": "inPit", "host": "tank", "from": "2025-10-01T00:00:00-05:00" }
              ],
              "sources": [ { "applicator": "drag-line", "pit": "tank", "from": "2025-10-01T00:00:00-05:00" } ],
              "methods": [
                { "applicator": "drag-line", "field": null, "method": "closedSlotInjection", "incorporatedAfterHours": null, "from": "2025-10-01T00:00:00-05:00" }
              ],
              "plans": [
                { "field": "east", "season": 2026, "nitrogenBasis": "total", "nitrogenKilogramsPerHectare": 160, "p2o5KilogramsPerHectare": 1, "crop": "oats" },
                { "field": "west", "season": 2026, "nitrogenBasis": "available", "nitrogenKilogramsPerHectare": 120, "crop": "grass" }
              ]
            }
            """;

    public static string FieldsText =>
        """
            {
              "type": "FeatureCollection",
              "features": [
                {
                  "type": "Feature",
                  "properties": { "id": "east", "name": "East" },
                  "geometry": { "type": "Polygon", "coordinates": [[[-91.012, 43.0], [-91.01, 43.0], [-91.01, 43.002], [-91.012, 43.002], [-91.012, 43.0]]] }
                },
                {
                  "type": "Feature",
                  "properties": { "id": "west", "name": "West" },
                  "geometry": { "type": "Polygon", "coordinates": [[[-91.016, 43.0], [-91.014, 43.0], [-91.014, 43.002], [-91.016, 43.002], [-91.016, 43.0]]] }
                }
              ]
            }
            """;

    public void Write(string farm, string fields)
    {
        File.WriteAllText(Path, farm);
        File.WriteAllText(System.IO.Path.Combine(folder, "fields.geojson"), fields);
    }

    /// <summary>Adds one no-spread zone over the western quarter of field East, reaching beyond it.</summary>
    /// <param name="more">More properties of the zone, each after a comma.</param>
    public void WriteZone(string more = "")
    {
        Write(
            FarmText.Replace(
                "\"pits\":",
                "\"noSpreadZones\": \"zones.geojson\",\n  \"pits\":",
                StringComparison.Ordinal
            ),
            FieldsText
        );
        File.WriteAllText(
            System.IO.Path.Combine(folder, "zones.geojson"),
            $$"""
            {
              "type": "FeatureCollection",
              "features": [
                {
                  "type": "Feature",
                  "properties": { "id": "creek", "name": "Creek", "reason": "Ten metres from the water"{{more}} },
                  "geometry": { "type": "Polygon", "coordinates": [[[-91.0125, 43.0], [-91.0115, 43.0], [-91.0115, 43.002], [-91.0125, 43.002], [-91.0125, 43.0]]] }
                }
              ]
            }
            """
        );
    }

    public void Dispose() => Directory.Delete(folder, recursive: true);

    /// <summary>
    /// Readings once a second along the middle of field East at 2 m/s and 10 L/s, with 4 g/L total N, 2 g/L ammonium N,
    /// 1 g/L P and 3 g/L K. Every second spreads 10 L and 40 g of nitrogen, or another volume of the same manure.
    /// </summary>
    public DecodedMessage Spreading(long firstSeq, int readings, long millilitresEach = 10_000) =>
        Decoded(
            "drag-line",
            new SpreadingMeasured(
                new(
                    "drag-line",
                    1,
                    firstSeq,
                    [.. Enumerable.Range(0, readings).Select(place => Reading(firstSeq + place, millilitresEach))]
                )
            )
        );

    /// <summary>The same with nitrogen in mg/L as a function of the reading's number.</summary>
    public DecodedMessage Spreading(long firstSeq, int readings, Func<long, int> nitrogenMilligramsPerLitre)
    {
        var drive = ((SpreadingMeasured)Spreading(firstSeq, readings).Event).Batch;
        return Decoded(
            "drag-line",
            new SpreadingMeasured(
                drive with
                {
                    Readings =
                    [
                        .. drive.Readings.Select(
                            (reading, i) =>
                                reading with
                                {
                                    TotalNitrogenMilligramsPerLitre = nitrogenMilligramsPerLitre(firstSeq + i),
                                }
                        ),
                    ],
                }
            )
        );
    }

    /// <summary>One level of the tank.</summary>
    public DecodedMessage Level(long seq, int millimetres) =>
        Decoded(
            "tank-level",
            new StorageLevelMeasured(
                new("tank-level", 1, seq, [new(Morning.AddMinutes(seq).ToUnixTimeMilliseconds(), millimetres)])
            )
        );

    private DecodedMessage Decoded(string equipment, IJournalEvent @event) =>
        new(Id, @event, $"agri/v1/{Id}/{equipment}", ReadOnlyMemory<byte>.Empty);

    private static SpreadReading Reading(long seq, long millilitresEach) =>
        new(
            Morning.AddSeconds(seq).ToUnixTimeMilliseconds(),
            LatitudeE7: 430_010_000,
            LongitudeE7: (int)(-910_119_000 + seq * 246),
            WidthMillimetres: 12_000,
            Engaged: true,
            TotalMillilitres: seq * millilitresEach,
            DryMatterPartsPerMillion: 60_000,
            TotalNitrogenMilligramsPerLitre: 4_000,
            AmmoniumNitrogenMilligramsPerLitre: 2_000,
            PhosphorusMilligramsPerLitre: 1_000,
            PotassiumMilligramsPerLitre: 3_000
        );
}
