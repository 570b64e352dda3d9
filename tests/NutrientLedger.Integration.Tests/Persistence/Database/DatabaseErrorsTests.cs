using System.Net.Sockets;
using Npgsql;
using NutrientLedger.Persistence.Database;

namespace NutrientLedger.Integration.Tests.Persistence.Database;

public sealed class DatabaseErrorsTests
{
    [Theory]
    [InlineData(PostgresErrorCodes.CannotConnectNow, true)]
    [InlineData(PostgresErrorCodes.AdminShutdown, true)]
    [InlineData(PostgresErrorCodes.CrashShutdown, true)]
    [InlineData(PostgresErrorCodes.TooManyConnections, true)]
    [InlineData(PostgresErrorCodes.InvalidPassword, false)]
    [InlineData(PostgresErrorCodes.InvalidAuthorizationSpecification, false)]
    [InlineData(PostgresErrorCodes.InvalidCatalogName, false)]
    public void A_server_that_is_not_ready_is_away_and_one_that_rejects_is_not(string state, bool isAway) =>
        Assert.Equal(isAway, DatabaseErrors.IsAway(new PostgresException("…", "FATAL", "FATAL", state)));

    [Fact]
    public void A_refused_connection_and_a_silent_server_are_away()
    {
        Assert.True(DatabaseErrors.IsAway(new NpgsqlException("…", new SocketException())));
        Assert.True(DatabaseErrors.IsAway(new NpgsqlException("…", new TimeoutException())));
        Assert.False(DatabaseErrors.IsAway(new NpgsqlException("No password has been provided.")));
    }
}
