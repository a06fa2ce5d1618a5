using EarReferral.Delivery.Tests.Fixtures;
using EarReferral.Delivery.Working;
using EarReferral.Referrals.Calendars;
using EarReferral.Storage.Referrals;
using Microsoft.Extensions.Logging;
using Microsoft.Extensions.Options;

namespace EarReferral.Delivery.Tests.Working;

public sealed class CalendarWarningTests
{
    [Theory]
    [InlineData(91, 0)]
    [InlineData(90, 0)]
    [InlineData(89, 1)] // 90 days before the end nobody is warned yet, the day after somebody is
    [InlineData(-1, 1)] // and still when it has ended
    public async Task CalendarThatEnds_IsWarnedAboutOnceADay(int daysLeft, int warnings)
    {
        await using var fixture = await DeliveryFixture.StartAsync();
        var log = new KeptLog();
        var today = DateOnly.FromDateTime(DeliveryFixture.Start.DateTime);
        var watch = new OverdueWatch(
            fixture.Get<ReferralStore>(), fixture.Get<ClockReader>(), fixture.Get<OverdueAlarm>(), fixture.Get<WorkingCalendar>() with { ValidUntil = today.AddDays(daysLeft) }, fixture.Get<EarReferral.Delivery.Alarms.Pulse>(), fixture.Clock, fixture.Get<IOptions<DeliveryOptions>>(), log);

        await watch.LookAsync(TestContext.Current.CancellationToken);
        await watch.LookAsync(TestContext.Current.CancellationToken);
        Assert.Equal(warnings, log.Count(3014));

        fixture.Clock.Advance(TimeSpan.FromDays(1));
        await watch.LookAsync(TestContext.Current.CancellationToken);
        Assert.Equal(daysLeft == 91 ? 0 : warnings + 1, log.Count(3014));
    }

    private sealed class KeptLog : ILogger<OverdueWatch>
    {
        private readonly List<int> events = [];

        public int Count(int id) => events.Count(each => each == id);

        public IDisposable? BeginScope<TState>(TState state)
            where TState : notnull => null;

        public bool IsEnabled(LogLevel logLevel) => true;

        public void Log<TState>(LogLevel logLevel, EventId eventId, TState state, Exception? exception, Func<TState, Exception?, string> formatter) => events.Add(eventId.Id);
    }
}
