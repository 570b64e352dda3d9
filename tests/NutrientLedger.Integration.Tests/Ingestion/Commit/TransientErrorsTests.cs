using Npgsql;
using NutrientLedger.Ingestion.Commit;

namespace NutrientLedger.Integration.Tests.Ingestion.Commit;

/// <summary>
/// Which errors reject a message and which are retried. The states are PostgreSQL's (its manual, appendix A).
/// </summary>
public class TransientErrorsTests
{
    [Theory]
    [InlineData("22003")] // numeric value out of range
    [InlineData("22021")] // character not in repertoire
    [InlineData("23505")] // unique violation
    [InlineData("54000")] // program limit exceeded
    public void An_error_of_the_content_is_not_retried(string state) =>
        Assert.False(TransientErrors.IsTransient(new InvalidOperationException("", Error(state))));

    [Theory]
    [InlineData("42P01")] // undefined table
    [InlineData("57014")] // query cancelled, as by a statement timeout
    [InlineData("53100")] // disk full
    [InlineData("58030")] // input or output error
    [InlineData("XX001")] // data corrupted
    [InlineData("08006")] // connection failure
    public void An_error_of_the_database_is_retried(string state) =>
        Assert.True(TransientErrors.IsTransient(new InvalidOperationException("", Error(state))));

    [Fact]
    public void A_lost_connection_is_retried_and_a_mistake_in_the_program_is_not()
    {
        Assert.True(TransientErrors.IsTransient(new NpgsqlException("The connection is broken.", new IOException())));
        Assert.False(TransientErrors.IsTransient(new InvalidCastException()));
    }

    private static PostgresException Error(string state) => new("invented", "ERROR", "ERROR", state);
}
