using System.Collections.Concurrent;
using Microsoft.Extensions.Logging;

namespace NutrientLedger.Integration.Tests.Ingestion.Monitoring;

/// <summary>Keeps the lines that ingestion writes to the log, and those about an outage of the database.</summary>
internal sealed class CollectedLog : ILoggerProvider, ILogger
{
    private readonly ConcurrentQueue<string> lines = [];

    public IReadOnlyList<string> Lines => [.. lines];

    public ILogger CreateLogger(string categoryName) =>
        categoryName.StartsWith("NutrientLedger.Ingestion", StringComparison.Ordinal)
        || categoryName == typeof(NutrientLedger.Persistence.Database.DatabaseOutage).FullName
            ? this
            : Microsoft.Extensions.Logging.Abstractions.NullLogger.Instance;

    public void Log<TState>(
        LogLevel logLevel,
        EventId eventId,
        TState state,
        Exception? exception,
        Func<TState, Exception?, string> formatter
    ) => lines.Enqueue($"{logLevel}: {formatter(state, exception)}");

    public bool IsEnabled(LogLevel logLevel) => true;

    public IDisposable? BeginScope<TState>(TState state)
        where TState : notnull => null;

    public void Dispose() { }
}
