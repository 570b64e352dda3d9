using System.Globalization;
using System.Text;
using MQTTnet;
using MQTTnet.Protocol;

namespace NutrientLedger.Integration.Tests.Farms;

/// <summary>Messages of an invented level gauge.</summary>
internal static class Messages
{
    public const string StoreTopic = "agri/v1/quarry-farm/gauge-1/store";

    /// <summary>One level under the given number, in a message of about the given size in bytes.</summary>
    public static byte[] Level(long seq, int bytes = 0) =>
        Encoding.UTF8.GetBytes(
            string.Create(
                    CultureInfo.InvariantCulture,
                    $$"""[{"bt":{{1790000000 + seq}},"n":"boot","v":1},{"n":"seq","v":{{seq}}},{"n":"level","u":"m","v":2.5}]"""
                )
                .PadRight(bytes)
        );

    public static Task<MqttClientPublishResult> PublishLevelAsync(
        this IMqttClient device,
        long seq,
        int bytes = 0,
        MqttQualityOfServiceLevel quality = MqttQualityOfServiceLevel.AtLeastOnce
    ) => device.PublishAsync(StoreTopic, Level(seq, bytes), quality);

    public static Task<MqttClientPublishResult> PublishAsync(
        this IMqttClient device,
        string topic,
        byte[] payload,
        MqttQualityOfServiceLevel quality = MqttQualityOfServiceLevel.AtLeastOnce,
        bool retain = false
    ) =>
        device.PublishAsync(
            new MqttApplicationMessageBuilder()
                .WithTopic(topic)
                .WithPayload(payload)
                .WithQualityOfServiceLevel(quality)
                .WithRetainFlag(retain)
                .Build()
        );
}
