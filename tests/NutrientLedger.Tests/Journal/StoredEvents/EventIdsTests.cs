using NutrientLedger.Journal;
using NutrientLedger.Journal.StoredEvents;
using NutrientLedger.Tests.Ledger;

namespace NutrientLedger.Tests.Journal.StoredEvents;

public class EventIdsTests
{
    // RFC 9562, appendix A.4 (from memory): version 5, the DNS name space and "www.example.com".
    [Fact]
    public void The_example_of_the_standard_gives_its_printed_id() =>
        Assert.Equal(
            Guid.Parse("2ed6657d-e927-568b-95e1-2665a8aea6a2"),
            EventIds.Version5(Guid.Parse("6ba7b810-9dad-11d1-80b4-00c04fd430c8"), "www.example.com")
        );

    // Computed with another library: uuid5(uuid5(NAMESPACE_URL, "nutrient-ledger/journal/v1"),
    // "three-elms/dragline-1/Spread/4/1201").
    [Fact]
    public void A_redelivered_batch_gets_the_same_id_on_every_computer() =>
        Assert.Equal(
            Guid.Parse("cc5164ed-19f3-55f0-826e-e5a44db7f43f"),
            EventIds.OfBatch("three-elms", TelemetryStream.Spread, "dragline-1", 4, 1201)
        );

    [Fact]
    public void A_batch_id_depends_on_farm_equipment_stream_boot_and_number()
    {
        Guid[] ids =
        [
            EventIds.OfBatch("three-elms", TelemetryStream.Spread, "dragline-1", 4, 1201),
            EventIds.OfBatch("two-elms", TelemetryStream.Spread, "dragline-1", 4, 1201),
            EventIds.OfBatch("three-elms", TelemetryStream.Store, "dragline-1", 4, 1201),
            EventIds.OfBatch("three-elms", TelemetryStream.Spread, "dragline-2", 4, 1201),
            EventIds.OfBatch("three-elms", TelemetryStream.Spread, "dragline-1", 5, 1201),
            EventIds.OfBatch("three-elms", TelemetryStream.Spread, "dragline-1", 4, 1202),
        ];
        Assert.Equal(ids.Length, ids.Distinct().Count());
    }

    [Fact]
    public void The_same_content_at_another_place_in_the_configuration_is_another_event() =>
        Assert.NotEqual(
            EventIds.OfConfigurationEvent("three-elms", 1, Some.Farm()),
            EventIds.OfConfigurationEvent("three-elms", 2, Some.Farm())
        );
}
