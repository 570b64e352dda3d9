namespace NutrientLedger.Journal;

/// <summary>
/// One reading as whole numbers in fixed columns. Column 0 is the measured time in milliseconds since 1970 (UTC) and is
/// always present. Any other may be absent. The order of the columns is part of the stored form and never changes.
/// </summary>
public interface IReading<TSelf>
    where TSelf : struct, IReading<TSelf>
{
    /// <summary>The stream these readings arrive on.</summary>
    static abstract TelemetryStream Stream { get; }

    /// <summary>How many columns a reading has, time included.</summary>
    static abstract int ColumnCount { get; }

    /// <summary>
    /// Makes a reading from its columns, the reverse of <see cref="Column"/>. A value too large is an
    /// <see cref="OverflowException"/>.
    /// </summary>
    static abstract TSelf FromColumns(ReadOnlySpan<long?> columns);

    /// <summary>The time of measurement by the device's clock, in milliseconds since 1970 (UTC).</summary>
    long MeasuredAtMilliseconds { get; }

    /// <summary>The value of one column. Null where the machine does not have it.</summary>
    long? Column(int column);
}
