using NutrientLedger.Web.Contracts.Rejected;

namespace NutrientLedger.Web.Contracts.Readings;

/// <summary>All devices that have sent readings for a farm.</summary>
internal sealed record DeviceList(string Farm, IReadOnlyList<DeviceResponse> Devices);

/// <summary>
/// A device on one stream: when it was last heard, how its readings were stored, its gaps and its clock. All gaps are
/// counted and the first hundred listed. MeteredInGaps ran through the meter during gaps; it has no position while they
/// are open. UnknownRecords had a name that the stream does not have. ValuesLeftOut lay too far below zero and count as
/// not measured. ClockAhead is against the hub's clock and includes the transmission time. It is negative if behind,
/// null while nothing is sent live. DifferingMessages have other readings under known numbers and wait for a decision,
/// as LaterMessages do that came after them. WhatToDo says how to decide; null when none waits.
/// </summary>
internal sealed record DeviceResponse(
    string Equipment,
    string Stream,
    DateTimeOffset LastRecordedAt,
    DateTimeOffset? LastMeasuredAt,
    long ReadingsStored,
    long ReadingsDuplicate,
    long ReadingsQuestionable,
    long UnknownRecords,
    long ValuesLeftOut,
    long MissingReadings,
    int OpenGaps,
    double? MeteredInGapsCubicMetres,
    IReadOnlyList<GapResponse> Gaps,
    double? ClockAheadSeconds,
    long DifferingMessages,
    long LaterMessages,
    string? WhatToDo
);

/// <summary>Who says that a device is a new one under an old name, and why.</summary>
internal sealed record DeviceReplacedRequest(string? By, string? Reason);

/// <summary>
/// A new device's boots are stored from FirstBoot on. Retried says what became of its messages that waited.
/// </summary>
internal sealed record DeviceReplacedResponse(string Farm, string Equipment, long FirstBoot, RetryAllResponse Retried);

/// <summary>
/// Missing numbers of one boot, first to last, and since when the hub knows of them. The times are those of the
/// readings on both sides; null before the first and after the last of a boot. Metered is what the meter counted
/// between them, if it has one.
/// </summary>
internal sealed record GapResponse(
    long Boot,
    long FirstSeq,
    long LastSeq,
    long MissingReadings,
    DateTimeOffset KnownSince,
    DateTimeOffset? MeasuredBefore,
    DateTimeOffset? MeasuredAfter,
    double? MeteredCubicMetres
);
