using JasperFx;
using JasperFx.Events;
using JasperFx.Events.Projections;
using JasperFx.MultiTenancy;
using Marten;
using Marten.Services;
using Microsoft.Extensions.Logging;
using Npgsql;
using NutrientLedger.Journal;
using NutrientLedger.Journal.Codecs;
using NutrientLedger.Journal.Spreading;
using NutrientLedger.Journal.Storage;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Journal.Weather;
using NutrientLedger.Persistence.Projections;

namespace NutrientLedger.Persistence;

/// <summary>
/// How Marten keeps the journal: streams by name in the farm's tenant, stored names of our own, batches as bytes.
/// </summary>
internal static class MartenSetup
{
    /// <summary>The database schema of the event tables.</summary>
    public const string Schema = "journal";

    public static void Configure(StoreOptions options, NpgsqlDataSource source, TimeProvider time)
    {
        options.Connection(source);
        options.DatabaseSchemaName = Schema;
        options.AutoCreateSchemaObjects = AutoCreate.None;
        options.Serializer(Json());
        // Events are appended in our own transaction. A retry inside it would fail for a second reason that hides the
        // first. A passing cause would then look like bad data. The appender retries with a new transaction.
        options.ConfigureWritePolly(_ => { });
        options.Events.StreamIdentity = StreamIdentity.AsString;
        options.Events.TenancyStyle = TenancyStyle.Conjoined;
        options.Events.AppendMode = EventAppendMode.QuickWithServerTimestamps;
        options.Events.TimeProvider = time;
        options.Events.EnableUniqueIndexOnEventId = true;
        options.Events.MetadataConfig.HeadersEnabled = true;
        foreach (var type in EventTypes.All)
            options.Events.MapEventType(type.Type, type.StoredName);
        options.Events.UseBinarySerializer<SpreadingMeasured>(new BatchSerializer());
        options.Events.UseBinarySerializer<StorageLevelMeasured>(new BatchSerializer());
        options.Events.UseBinarySerializer<WeatherMeasured>(new BatchSerializer());
    }

    /// <summary>Adds the projection that keeps ledgers current. For a hub whose daemon runs it.</summary>
    public static void AddLedgerProjection(
        StoreOptions options,
        NpgsqlDataSource source,
        PostingTurn turn,
        PostingMeter meter,
        PostingBeat beat,
        ILogger<LedgerProjection> log
    )
    {
        options.Projections.Wakeup = beat;
        options.Projections.AsyncListeners.Add(turn);
        options.Projections.Add(
            new LedgerProjection(source, turn, meter, log),
            ProjectionLifecycle.Async,
            LedgerProjection.Name
        );
        // A configuration event that cannot be read pauses the ledgers and is reported. No device can cause that, and
        // skipping it would lose nutrients silently. Batches that cannot be posted are noted by the projection.
        options.Projections.Errors.SkipApplyErrors = false;
        options.Projections.Errors.SkipSerializationErrors = false;
        options.Projections.Errors.SkipUnknownEvents = false;
        options.Projections.LeadershipPollingTime = 500;
        // A command that hangs ends by itself before that, and an outage is logged once.
        options.Projections.HighWaterStalenessThreshold = TimeSpan.FromMinutes(2);
        options.Projections.StaleSequenceThreshold = TimeSpan.FromMilliseconds(300);
    }

    private static SystemTextJsonSerializer Json()
    {
        var serializer = new SystemTextJsonSerializer();
        serializer.Configure(json =>
        {
            json.PropertyNamingPolicy = EventJson.Options.PropertyNamingPolicy;
            json.DefaultIgnoreCondition = EventJson.Options.DefaultIgnoreCondition;
            json.AllowOutOfOrderMetadataProperties = EventJson.Options.AllowOutOfOrderMetadataProperties;
            json.TypeInfoResolver = EventJson.Options.TypeInfoResolver;
            json.Converters.Clear();
            foreach (var converter in EventJson.Options.Converters)
                json.Converters.Add(converter);
        });
        return serializer;
    }

    /// <summary>
    /// Hands batches to the journal's own codec. One that cannot be read is handed on as none at all, so that the
    /// projection can name it and go on.
    /// </summary>
    private sealed class BatchSerializer : IEventBinarySerializer
    {
        public byte[] Serialize(Type type, object data) => EventCodec.Encode((IJournalEvent)data);

        public object Deserialize(Type type, byte[] data)
        {
            try
            {
                return EventTypes.Of(type).Decode(data);
            }
            catch (FormatException)
            {
                return type == typeof(SpreadingMeasured) ? new SpreadingMeasured(null!)
                    : type == typeof(StorageLevelMeasured) ? new StorageLevelMeasured(null!)
                    : new WeatherMeasured(null!);
            }
        }
    }
}
