using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Web.Commands;

namespace NutrientLedger.Integration.Tests.Web;

/// <summary>Web with the small farm "asked": 60 readings in two batches, two levels and one dead letter.</summary>
public sealed class SpreadTestHost : IAsyncLifetime
{
    private readonly WebTestHost office = new();

    public HttpClient Client => office.Client;

    public LabImport Lab => office.Lab;

    /// <summary>The journal position before the second batch of spreading.</summary>
    public long BeforeSecondPack { get; private set; }

    public async Task InitializeAsync()
    {
        await office.InitializeAsync();
        if (!office.IsRunning)
            return;
        using var farm = new SmallFarm("asked");
        await office.Import.ImportAsync(farm.Path, default);
        BeforeSecondPack = await office.PostAsync(farm.Spreading(1, 30));
        await office.PostAsync(farm.Spreading(31, 30));
        await office.PostAsync(farm.Level(1, 3_100));
        await office.PostAsync(farm.Level(5, 3_200));
        await office.RefuseAsync(new RejectedMessage("agri/v1/asked/drag-line/spread", "{[]"u8.ToArray(), "not SenML"));
    }

    public Task DisposeAsync() => office.DisposeAsync();
}
