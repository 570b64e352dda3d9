namespace NutrientLedger.Demo;

/// <summary>The recorded season cannot be found or read; the message says what to do.</summary>
public sealed class DemoStreamsException(string message) : Exception(message);
