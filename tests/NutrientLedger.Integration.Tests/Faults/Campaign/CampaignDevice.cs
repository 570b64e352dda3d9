using System.Globalization;
using System.Text;
using MQTTnet;
using MQTTnet.Exceptions;
using MQTTnet.Protocol;
using NutrientLedger.Journal.Spreading;

namespace NutrientLedger.Integration.Tests.Faults.Campaign;

/// <summary>
/// A drag line of one case. Its meter may be reset, jump, or count on between two boots, and its readings are sent in
/// any cutting and order, some twice, some late, some never. Like any device it sends again what was not acknowledged.
/// </summary>
internal sealed class CampaignDevice
{
    public const string Equipment = "drag-line";
    private const long Begins = 1_776_780_000_000;
    private static readonly TimeSpan Patience = TimeSpan.FromMinutes(4);

    private readonly Random random;
    private readonly string topic;
    private readonly List<(long Boot, long Seq, SpreadReading Reading)> readings = [];

    public CampaignDevice(string farm, Random random)
    {
        (this.random, topic) = (random, $"agri/v1/{farm}/{Equipment}/spread");
        Drive();
    }

    /// <summary>What was acknowledged as stored, by boot and number.</summary>
    public Dictionary<(long Boot, long Seq), SpreadReading> Acknowledged { get; } = [];

    public int CorruptSent { get; private set; }

    public int SentTwice { get; private set; }

    /// <summary>The highest boot, and the highest number of each.</summary>
    public IReadOnlyList<(long Boot, long Last)> Boots =>
        [.. readings.GroupBy(one => one.Boot).Select(boot => (boot.Key, boot.Max(one => one.Seq)))];

    /// <summary>
    /// All messages of the device in so many parts, some of them late. A few readings are in none: they never come.
    /// </summary>
    public IReadOnlyList<(long Boot, long First, int Count)>[] Parts(int parts)
    {
        var sent = Enumerable.Range(0, parts).Select(_ => new List<(long, long, int)>()).ToArray();
        foreach (var (boot, last) in Boots)
            for (long first = 1; first <= last; )
            {
                var count = (int)Math.Min(random.Next(1, 13), last - first + 1);
                var due = (int)(first * parts / (last + 1));
                if (random.Next(25) != 0)
                    sent[random.Next(6) == 0 ? random.Next(due, parts) : due].Add((boot, first, count));
                first += count;
            }
        return sent;
    }

    /// <summary>Sends messages to either hub until all are acknowledged.</summary>
    public async Task SendAsync(CampaignHubs hubs, IReadOnlyList<(long Boot, long First, int Count)> messages)
    {
        var waiting = messages.ToList();
        foreach (var again in messages.Where(_ => random.Next(6) == 0))
        {
            // The same readings in another cutting: the first half, and everything together with the reading before.
            waiting.Add((again.Boot, again.First, (again.Count + 1) / 2));
            SentTwice++;
        }
        random.Shuffle(System.Runtime.InteropServices.CollectionsMarshal.AsSpan(waiting));
        using var limit = new CancellationTokenSource(Patience);
        while (waiting.Count > 0)
        {
            limit.Token.ThrowIfCancellationRequested();
            using var device = new MqttClientFactory().CreateMqttClient();
            try
            {
                await device.ConnectAsync(
                    new MqttClientOptionsBuilder()
                        .WithTcpServer("127.0.0.1", hubs.MqttPort(random.Next(2)))
                        .WithClientId(Equipment)
                        .WithTimeout(TimeSpan.FromSeconds(20))
                        .WithProtocolVersion(MQTTnet.Formatter.MqttProtocolVersion.V500)
                        .Build(),
                    limit.Token
                );
                foreach (var chunk in waiting.ToArray().Chunk(random.Next(1, 30)))
                {
                    if (random.Next(8) == 0)
                        await CorruptAsync(device, chunk[0], limit.Token);
                    var answers = await Task.WhenAll(
                        chunk.Select(one => PublishAsync(device, Payload(one), limit.Token))
                    );
                    foreach (var (message, answer) in chunk.Zip(answers))
                    {
                        Assert.True(
                            answer.ReasonCode != MqttClientPublishReasonCode.PayloadFormatInvalid,
                            $"A valid message was rejected: {answer.ReasonString}"
                        );
                        if (!answer.IsSuccess)
                            continue;
                        waiting.Remove(message);
                        foreach (var one in Of(message))
                            Acknowledged[(one.Boot, one.Seq)] = one.Reading;
                    }
                    // A connection may end at any moment.
                    if (random.Next(10) == 0)
                        break;
                }
            }
            catch (Exception e)
                when (e is MqttCommunicationException or OperationCanceledException && !limit.IsCancellationRequested)
            {
                await Task.Delay(50, limit.Token);
            }
        }
    }

    private async Task CorruptAsync(
        IMqttClient device,
        (long Boot, long First, int Count) message,
        CancellationToken stop
    )
    {
        CorruptSent++;
        await PublishAsync(device, Payload(message)[..^1], stop);
    }

    private Task<MqttClientPublishResult> PublishAsync(IMqttClient device, byte[] payload, CancellationToken stop) =>
        device.PublishAsync(
            new MqttApplicationMessageBuilder()
                .WithTopic(topic)
                .WithPayload(payload)
                .WithQualityOfServiceLevel(MqttQualityOfServiceLevel.AtLeastOnce)
                .Build(),
            stop
        );

    private IEnumerable<(long Boot, long Seq, SpreadReading Reading)> Of((long Boot, long First, int Count) message) =>
        readings.Where(one =>
            one.Boot == message.Boot && one.Seq >= message.First && one.Seq < message.First + message.Count
        );

    private byte[] Payload((long Boot, long First, int Count) message)
    {
        var text = new StringBuilder(
            FormattableString.Invariant(
                $$"""[{"bt":{{Of(message).First().Reading.MeasuredAtMilliseconds / 1000m}},"n":"boot","v":{{message.Boot}}},{"n":"seq","v":{{message.First}}}"""
            )
        );
        foreach (var (_, _, reading) in Of(message))
        {
            var t = (reading.MeasuredAtMilliseconds - Of(message).First().Reading.MeasuredAtMilliseconds) / 1000m;
            Add("lat", "lat", reading.LatitudeE7 / 1e7m);
            Add("lon", "lon", reading.LongitudeE7 / 1e7m);
            Add("total", "m3", reading.TotalMillilitres / 1e6m);
            Add("tn", "kg/m3", reading.TotalNitrogenMilligramsPerLitre / 1e3m);
            text.Append(
                FormattableString.Invariant(
                    $$""",{"n":"engaged","t":{{t}},"vb":{{(reading.Engaged is true ? "true" : "false")}}}"""
                )
            );

            void Add(string name, string unit, decimal? value) =>
                text.Append(
                    value is { } v
                        ? string.Create(
                            CultureInfo.InvariantCulture,
                            $$""",{"n":"{{name}}","u":"{{unit}}","t":{{t}},"v":{{v}}}"""
                        )
                        : ""
                );
        }
        return Encoding.UTF8.GetBytes(text.Append(']').ToString());
    }

    private void Drive()
    {
        var (at, total) = (Begins, random.NextInt64(0, 50_000_000));
        for (long boot = 1; boot <= random.Next(1, 4); boot++)
        {
            var last = random.Next(10, 70);
            for (long seq = 1; seq <= last; seq++)
            {
                at += random.Next(40) == 0 ? random.Next(5_000, 60_000) : 1000;
                total += random.Next(9_000, 11_000);
                if (random.Next(150) == 0)
                    total = random.Next(1_000_000);
                readings.Add((boot, seq, Reading(at, random.Next(80) == 0 ? 0 : total, seq)));
            }
            at += random.Next(2_000, 120_000);
            total = random.Next(3) switch
            {
                0 => 0,
                1 => total,
                _ => total + random.Next(40_000_000),
            };
        }
    }

    private SpreadReading Reading(long at, long total, long seq) =>
        new(
            at,
            LatitudeE7: 430_002_000 + (int)(seq % 60 * 180),
            LongitudeE7: -910_110_000 - (random.Next(60) == 0 ? 30_000 : 0),
            Engaged: random.Next(15) != 0,
            TotalMillilitres: random.Next(50) == 0 ? null : total,
            TotalNitrogenMilligramsPerLitre: random.Next(30) == 0 ? null : 4_000 + random.Next(-200, 200)
        );
}
