using System.Net.Http.Json;
using System.Text.Json;

namespace NutrientLedger.Benchmarks;

/// <summary>
/// Whole seasons of a farm as messages of 60 readings, and of 60 levels a minute apart. All applicators work at the
/// same time. Messages are made while they are sent, because ten seasons would not fit into memory.
/// </summary>
internal sealed class SeasonFeed(SeasonFarm farm, int readingsASeason)
{
    private const int AMessage = 60;
    private const int MinutesADay = 1440;
    private const int Window = 256;

    private static readonly double TankSquareMetres =
        Math.PI * SeasonFarm.TankDiameterMetres * SeasonFarm.TankDiameterMetres / 4;

    private int EachReads => readingsASeason / farm.Applicators;

    private int Days => 1 + ((EachReads - 1) / SeasonCalendar.ReadingsADay);

    /// <summary>Sends so many seasons, the oldest first, and waits until all is acknowledged.</summary>
    public async Task SendAsync(int mqttPort, int seasons)
    {
        for (var yearsBefore = seasons - 1; yearsBefore >= 0; yearsBefore--)
            await Task.WhenAll(
                Enumerable
                    .Range(0, farm.Applicators)
                    .SelectMany(i =>
                        new[]
                        {
                            SendAsync(mqttPort, farm.Topic(i), Spread(i, yearsBefore)),
                            SendAsync(mqttPort, farm.LevelTopic(i), Levels(i, yearsBefore)),
                        }
                    )
            );
    }

    /// <summary>Makes sure that each reading is stored once, without a gap, and at a time that counts.</summary>
    /// <exception cref="InvalidOperationException">The devices say otherwise.</exception>
    public async Task CheckAsync(VersionHub hub, int seasons)
    {
        var list = await hub.Http.GetFromJsonAsync<JsonElement>($"/api/farms/{farm.Id}/devices");
        var devices = list.GetProperty("devices").EnumerateArray().ToList();
        var sent = (long)seasons * farm.Applicators * (EachReads + (Days * MinutesADay));
        if (
            Sum("readingsStored") != sent
            || Sum("readingsDuplicate") + Sum("readingsQuestionable") + Sum("missingReadings") != 0
        )
            throw new InvalidOperationException($"{sent} readings were acknowledged, but the devices are: {list}");

        long Sum(string name) => devices.Sum(device => device.GetProperty(name).GetInt64());
    }

    private static async Task SendAsync(int mqttPort, string topic, IEnumerable<byte[]> messages)
    {
        using var client = await Devices.ConnectAsync(mqttPort, topic);
        await Devices.SendAsync(client, topic, messages, Window);
    }

    private IEnumerable<byte[]> Spread(int applicator, int yearsBefore)
    {
        var begins = SeasonCalendar.FirstDay(yearsBefore);
        var days = Readings(applicator, yearsBefore).Chunk(SeasonCalendar.ReadingsADay);
        foreach (var (number, readings) in days.Index())
        {
            var day = begins.AddDays(number);
            var (seq, boot, firstMs) = (1L, SeasonCalendar.Boot(day), SeasonCalendar.WorkBeginsMs(day));
            foreach (var message in readings.Chunk(AMessage))
            {
                yield return DriveMessages.Spread(message, boot, seq, firstMs + ((seq - 1) * 1000), stepMs: 1000);
                seq += message.Length;
            }
        }
    }

    /// <summary>The levels of the tank that the applicator draws from, on the days of work.</summary>
    private IEnumerable<byte[]> Levels(int applicator, int yearsBefore)
    {
        var random = new Random(applicator);
        // The meter's total at the end of each minute of work.
        var totals = Readings(applicator, yearsBefore).Where((_, i) => i % 60 == 59).Select(r => r.Total).ToArray();
        for (var number = 0; number < Days; number++)
        {
            var day = SeasonCalendar.FirstDay(yearsBefore).AddDays(number);
            var (boot, firstMs) = (SeasonCalendar.Boot(day), SeasonCalendar.FarmDayBeginsMs(day));
            var before = (SeasonCalendar.WorkBeginsMs(day) - firstMs) / 60_000;
            var levels = new double[MinutesADay];
            for (var minute = 0; minute < MinutesADay; minute++)
                levels[minute] = Level(Drawn(number, minute - before)) + (0.003 * (random.NextDouble() - 0.5));
            foreach (var (i, message) in levels.Chunk(AMessage).Index())
            {
                var seq = i * AMessage;
                yield return DriveMessages.Levels(message, boot, 1 + seq, firstMs + (seq * 60_000L), stepMs: 60_000);
            }
        }

        double Drawn(int day, long minuteOfWork)
        {
            var minutesADay = SeasonCalendar.ReadingsADay / 60;
            var worked = (day * minutesADay) + Math.Clamp(minuteOfWork, 0, minutesADay);
            return worked == 0 || totals.Length == 0 ? 0 : totals[Math.Min(worked, totals.Length) - 1];
        }

        static double Level(double drawn) => Math.Max(0.2, 4.5 - (drawn / TankSquareMetres));
    }

    private IEnumerable<DrivenReading> Readings(int applicator, int yearsBefore) =>
        new SpreadingDrive((100 * applicator) + yearsBefore, farm.FieldsOf(applicator), secondsAReading: 1)
            .Readings()
            .Take(EachReads);
}
