using NutrientLedger.Integration.Tests.Farms;
using NutrientLedger.Integration.Tests.Hosts;
using NutrientLedger.Persistence.Messages;
using NutrientLedger.Web.Commands;

namespace NutrientLedger.Integration.Tests.Web;

/// <summary>Web with the small farm "asked": 60 readings in two batches, two levels and one dead letter.</summary>
public sealed class SpreadTestHost : IAsyncLifetime
{
    private readonly WebTestHost web = new();

    public HttpClient Client => web.Client;

    public LabImport Lab => web.Lab;

    /// <summary>The journal position before the second batch of spreading.</summary>
    public long BeforeSecondBatch { get; private set; }

    public async Task InitializeAsync()
    {
        await web.InitializeAsync();
        if (!web.IsRunning)
            return;
        using var farm = new SmallFarm("asked");
        await web.Import.ImportAsync(farm.Path, default);
        BeforeSecondBatch = await web.PostAsync(farm.Spreading(1, 30));
        await web.PostAsync(farm.Spreading(31, 30));
        await web.PostAsync(farm.Level(1, 3_100));
        await web.PostAsync(farm.Level(5, 3_200));
        await web.RejectAsync(new RejectedMessage("agri/v1/asked/drag-line/spread", "{[]"u8.ToArray(), "not SenML"));
    }

    public Task DisposeAsync() => web.DisposeAsync();
}
