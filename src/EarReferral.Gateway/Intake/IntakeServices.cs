using EarReferral.Gateway.Attention;
using EarReferral.Gateway.Configuration;
using EarReferral.Gateway.Fhir;
using EarReferral.Gateway.Fhir.Terminology;
using EarReferral.Gateway.Health;
using EarReferral.Gateway.OpenApi;
using EarReferral.Gateway.Quarantine;
using EarReferral.Gateway.Referrals;
using EarReferral.Gateway.Rules;
using EarReferral.Gateway.Vocabulary;
using EarReferral.Triage.Rules;
using EarReferral.Validation;

namespace EarReferral.Gateway.Intake;

/// <summary>Registers what the use cases need.</summary>
internal static class IntakeServices
{
    /// <summary>Adds the use cases; <see cref="StoreStart"/> reads rule book and clinics at start.</summary>
    /// <param name="services">Where to.</param>
    /// <param name="configuration">Configuration of the service.</param>
    /// <param name="profiles">The profiles, which may still be being read.</param>
    public static void AddIntake(this IServiceCollection services, IConfiguration configuration, Task<ProfileSet> profiles)
    {
        var folder = configuration["Rules:Folder"]!;
        var overlay = configuration["Rules:Overlay"] is { Length: > 0 } named ? named : null;
        services.AddSingleton(_ => RuleFolder.LoadForService(folder, overlay));
        services.AddSingleton<RuleComparison>();
        services.AddSingleton<Reports.ClinicReportReader>();
        services.AddSingleton<Rehearsal>();
        services.AddSingleton(_ => profiles.GetAwaiter().GetResult());
        services.AddSingleton(provider => new ReferralValidator(provider.GetRequiredService<ProfileSet>()));
        services.AddSingleton(provider => new Lazy<ReferralValidator>(provider.GetRequiredService<ReferralValidator>));
        services.AddSingleton(provider => Definitions.Read(provider.GetRequiredService<ProfileSet>(), provider.GetRequiredService<RuleBook>(), provider.GetRequiredService<ClinicVocabularies>().Maps));
        services.AddSingleton<Readiness>();
        services.AddHostedService(provider => provider.GetRequiredService<Readiness>());
        services.AddHostedService<StoreStart>();
        services.AddSingleton<EncounterJudge>();
        services.AddSingleton<LaterVisitTies>();
        services.AddSingleton<ReceiptWriter>();
        services.AddSingleton(provider => ClinicVocabularies.Read(provider.GetRequiredService<ClinicDirectory>().VocabularyFolders, provider.GetRequiredService<RuleBook>()));
        services.AddSingleton<DocumentReader>();
        services.AddSingleton<HistoryReader>();
        services.AddSingleton<HistoryRecheck>();
        services.AddSingleton<RevisionMaker>();
        services.AddSingleton<EncounterIntake>();
        services.AddSingleton<RecordRevalidation>();
        services.AddSingleton<EncounterRetraction>();
        services.AddSingleton<Redirection>();
        services.AddFhirReads();
        services.AddSingleton<IntakeExample>();
        services.AddSingleton<ReferralMatters>();
        services.AddSingleton<GpMatters>();
        services.AddSingleton<TaskReports>();
        services.AddSingleton<TaskReconciliation>();
        services.AddHostedService(provider => provider.GetRequiredService<TaskReconciliation>());
        services.AddSingleton<OpenMatters>();
        services.AddHostedService<AttentionWatch>();
        services.AddHostedService<GatewayPulse>();
    }
}
