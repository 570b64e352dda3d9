using System.Globalization;

namespace NutrientLedger.Demo;

/// <summary>
/// A small file with the number of a device's messages that the hub has acknowledged. After a power cut it may be
/// behind, never ahead. The hub recognises what is sent again.
/// </summary>
public sealed class Bookmark(string file)
{
    /// <summary>The number of messages acknowledged, 0 when nothing is known.</summary>
    public long Read() =>
        File.Exists(file) && long.TryParse(File.ReadAllText(file), CultureInfo.InvariantCulture, out var known)
            ? known
            : 0;

    /// <summary>
    /// Records that this many messages are acknowledged. The file is replaced as a whole, so a power cut leaves the old
    /// one.
    /// </summary>
    public void Write(long acknowledged)
    {
        Directory.CreateDirectory(Path.GetDirectoryName(file)!);
        File.WriteAllText(file + ".new", acknowledged.ToString(CultureInfo.InvariantCulture));
        File.Move(file + ".new", file, overwrite: true);
    }
}
