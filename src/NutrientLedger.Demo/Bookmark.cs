using System.Globalization;

namespace NutrientLedger.Demo;

/// <summary>
/// How many of its messages a sender knows to be stored, kept in a small file as a machine would keep it in flash. It
/// may lag behind after a power cut, never run ahead: what is sent again is recognised as seen.
/// </summary>
public sealed class Bookmark(string file)
{
    /// <summary>The number of messages acknowledged, 0 when nothing is known.</summary>
    public long Read() =>
        File.Exists(file) && long.TryParse(File.ReadAllText(file), CultureInfo.InvariantCulture, out var known)
            ? known
            : 0;

    /// <summary>
    /// Notes that this many messages are acknowledged; the file is replaced whole, so a cut leaves the old one.
    /// </summary>
    public void Write(long acknowledged)
    {
        Directory.CreateDirectory(Path.GetDirectoryName(file)!);
        File.WriteAllText(file + ".new", acknowledged.ToString(CultureInfo.InvariantCulture));
        File.Move(file + ".new", file, overwrite: true);
    }
}
