using System;
using Microsoft.EntityFrameworkCore.Migrations;

#nullable disable

namespace EarReferral.Storage.Migrations.Sqlite
{
    /// <inheritdoc />
    public partial class Initial : Migration
    {
        /// <inheritdoc />
        protected override void Up(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.CreateTable(
                name: "alarm",
                columns: table => new
                {
                    id = table.Column<string>(type: "TEXT", nullable: false),
                    key = table.Column<string>(type: "TEXT", nullable: false),
                    kind = table.Column<string>(type: "TEXT", nullable: false),
                    clinic_id = table.Column<string>(type: "TEXT", nullable: false),
                    practice_ods = table.Column<string>(type: "TEXT", nullable: true),
                    referral_id = table.Column<string>(type: "TEXT", nullable: true),
                    tier = table.Column<string>(type: "TEXT", nullable: true),
                    since = table.Column<long>(type: "INTEGER", nullable: false),
                    raised_at = table.Column<long>(type: "INTEGER", nullable: false),
                    step = table.Column<int>(type: "INTEGER", nullable: false),
                    next_at = table.Column<long>(type: "INTEGER", nullable: false),
                    acknowledged_at = table.Column<long>(type: "INTEGER", nullable: true),
                    acknowledged_by = table.Column<string>(type: "TEXT", nullable: true),
                    note = table.Column<string>(type: "TEXT", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_alarm", x => x.id);
                });

            migrationBuilder.CreateTable(
                name: "audit",
                columns: table => new
                {
                    id = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    action = table.Column<string>(type: "TEXT", nullable: false),
                    result = table.Column<string>(type: "TEXT", nullable: false),
                    actor = table.Column<string>(type: "TEXT", nullable: false),
                    request_id = table.Column<string>(type: "TEXT", nullable: true),
                    purpose = table.Column<string>(type: "TEXT", nullable: true),
                    resource_type = table.Column<string>(type: "TEXT", nullable: true),
                    resource_id = table.Column<string>(type: "TEXT", nullable: true),
                    patient_key = table.Column<Guid>(type: "TEXT", nullable: true),
                    clinic_id = table.Column<string>(type: "TEXT", nullable: false),
                    practice_ods = table.Column<string>(type: "TEXT", nullable: true),
                    query = table.Column<byte[]>(type: "BLOB", nullable: true),
                    token_id = table.Column<string>(type: "TEXT", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_audit", x => x.id);
                });

            migrationBuilder.CreateTable(
                name: "audit_seal",
                columns: table => new
                {
                    position = table.Column<long>(type: "INTEGER", nullable: false),
                    audit_id = table.Column<long>(type: "INTEGER", nullable: false),
                    salt = table.Column<byte[]>(type: "BLOB", nullable: true),
                    digest = table.Column<byte[]>(type: "BLOB", nullable: false),
                    link = table.Column<byte[]>(type: "BLOB", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_audit_seal", x => x.position);
                });

            migrationBuilder.CreateTable(
                name: "channel",
                columns: table => new
                {
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    failing_since = table.Column<long>(type: "INTEGER", nullable: true),
                    last_taken_at = table.Column<long>(type: "INTEGER", nullable: true),
                    last_outcome = table.Column<string>(type: "TEXT", nullable: true),
                    next_at = table.Column<long>(type: "INTEGER", nullable: false),
                    position = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_channel", x => x.name);
                });

            migrationBuilder.CreateTable(
                name: "destination",
                columns: table => new
                {
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    paused = table.Column<bool>(type: "INTEGER", nullable: false),
                    paused_by = table.Column<string>(type: "TEXT", nullable: true),
                    breaker = table.Column<string>(type: "TEXT", nullable: false),
                    breaker_until = table.Column<long>(type: "INTEGER", nullable: true),
                    consecutive_failures = table.Column<int>(type: "INTEGER", nullable: false),
                    mode = table.Column<string>(type: "TEXT", nullable: true),
                    updates = table.Column<bool>(type: "INTEGER", nullable: false),
                    verified_at = table.Column<long>(type: "INTEGER", nullable: true),
                    problem = table.Column<string>(type: "TEXT", nullable: true),
                    paused_at = table.Column<long>(type: "INTEGER", nullable: true),
                    change = table.Column<int>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_destination", x => x.name);
                });

            migrationBuilder.CreateTable(
                name: "encounter_revision",
                columns: table => new
                {
                    id = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    encounter_key = table.Column<Guid>(type: "TEXT", nullable: false),
                    clinic_id = table.Column<string>(type: "TEXT", nullable: false),
                    clinic_encounter_id = table.Column<string>(type: "TEXT", nullable: false),
                    revision = table.Column<int>(type: "INTEGER", nullable: false),
                    contract_version = table.Column<string>(type: "TEXT", nullable: false),
                    time_zone = table.Column<string>(type: "TEXT", nullable: false),
                    patient_key = table.Column<Guid>(type: "TEXT", nullable: false),
                    practice_ods = table.Column<string>(type: "TEXT", nullable: true),
                    content_sha256 = table.Column<string>(type: "TEXT", nullable: false),
                    raw = table.Column<byte[]>(type: "BLOB", nullable: false),
                    received_at = table.Column<long>(type: "INTEGER", nullable: false),
                    evaluated_at = table.Column<long>(type: "INTEGER", nullable: false),
                    state = table.Column<string>(type: "TEXT", nullable: false),
                    tier = table.Column<string>(type: "TEXT", nullable: false),
                    late = table.Column<bool>(type: "INTEGER", nullable: false),
                    receipt = table.Column<byte[]>(type: "BLOB", nullable: false),
                    decision = table.Column<byte[]>(type: "BLOB", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_encounter_revision", x => x.id);
                });

            migrationBuilder.CreateTable(
                name: "history_review",
                columns: table => new
                {
                    encounter_key = table.Column<Guid>(type: "TEXT", nullable: false),
                    revision = table.Column<int>(type: "INTEGER", nullable: false),
                    clinic_id = table.Column<string>(type: "TEXT", nullable: false),
                    practice_ods = table.Column<string>(type: "TEXT", nullable: true),
                    cause = table.Column<string>(type: "TEXT", nullable: false),
                    found_at = table.Column<long>(type: "INTEGER", nullable: false),
                    finding = table.Column<string>(type: "TEXT", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_history_review", x => x.encounter_key);
                });

            migrationBuilder.CreateTable(
                name: "identity_conflict",
                columns: table => new
                {
                    patient_key = table.Column<Guid>(type: "TEXT", nullable: false),
                    kind = table.Column<string>(type: "TEXT", nullable: false),
                    nhs_number = table.Column<string>(type: "TEXT", nullable: false),
                    clinic_id = table.Column<string>(type: "TEXT", nullable: false),
                    practice_ods = table.Column<string>(type: "TEXT", nullable: true),
                    found_at = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_identity_conflict", x => new { x.patient_key, x.kind, x.nhs_number });
                });

            migrationBuilder.CreateTable(
                name: "identity_decision",
                columns: table => new
                {
                    id = table.Column<Guid>(type: "TEXT", nullable: false),
                    patient_key = table.Column<Guid>(type: "TEXT", nullable: false),
                    linked = table.Column<bool>(type: "INTEGER", nullable: false),
                    person = table.Column<string>(type: "TEXT", nullable: false),
                    reason = table.Column<string>(type: "TEXT", nullable: false),
                    facts = table.Column<string>(type: "TEXT", nullable: false),
                    decided_at = table.Column<long>(type: "INTEGER", nullable: false),
                    holds = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_identity_decision", x => x.id);
                });

            migrationBuilder.CreateTable(
                name: "identity_seed",
                columns: table => new
                {
                    clinic_id = table.Column<string>(type: "TEXT", nullable: false),
                    kind = table.Column<string>(type: "TEXT", nullable: false),
                    local_id = table.Column<string>(type: "TEXT", nullable: false),
                    seed = table.Column<Guid>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_identity_seed", x => new { x.clinic_id, x.kind, x.local_id });
                });

            migrationBuilder.CreateTable(
                name: "known_resource",
                columns: table => new
                {
                    destination = table.Column<string>(type: "TEXT", nullable: false),
                    key = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_known_resource", x => new { x.destination, x.key });
                });

            migrationBuilder.CreateTable(
                name: "later_visit",
                columns: table => new
                {
                    encounter_key = table.Column<Guid>(type: "TEXT", nullable: false),
                    referral_id = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_later_visit", x => x.encounter_key);
                });

            migrationBuilder.CreateTable(
                name: "patient_link",
                columns: table => new
                {
                    encounter_key = table.Column<Guid>(type: "TEXT", nullable: false),
                    patient_key = table.Column<Guid>(type: "TEXT", nullable: false),
                    nhs_number = table.Column<string>(type: "TEXT", nullable: true),
                    verified = table.Column<bool>(type: "INTEGER", nullable: false),
                    birth_date = table.Column<string>(type: "TEXT", nullable: false),
                    clinic_id = table.Column<string>(type: "TEXT", nullable: false),
                    practice_ods = table.Column<string>(type: "TEXT", nullable: true),
                    recorded_at = table.Column<long>(type: "INTEGER", nullable: false),
                    retracted = table.Column<bool>(type: "INTEGER", nullable: false),
                    counts = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_patient_link", x => x.encounter_key);
                });

            migrationBuilder.CreateTable(
                name: "quarantine",
                columns: table => new
                {
                    id = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    source = table.Column<string>(type: "TEXT", nullable: false),
                    task_id = table.Column<string>(type: "TEXT", nullable: true),
                    reason = table.Column<string>(type: "TEXT", nullable: false),
                    body = table.Column<byte[]>(type: "BLOB", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_quarantine", x => x.id);
                });

            migrationBuilder.CreateTable(
                name: "record_check",
                columns: table => new
                {
                    id = table.Column<Guid>(type: "TEXT", nullable: false),
                    encounter_key = table.Column<Guid>(type: "TEXT", nullable: false),
                    revision = table.Column<int>(type: "INTEGER", nullable: false),
                    clinic_id = table.Column<string>(type: "TEXT", nullable: false),
                    practice_ods = table.Column<string>(type: "TEXT", nullable: true),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    person = table.Column<string>(type: "TEXT", nullable: true),
                    reason = table.Column<string>(type: "TEXT", nullable: true),
                    passed = table.Column<bool>(type: "INTEGER", nullable: false),
                    software = table.Column<string>(type: "TEXT", nullable: false),
                    issues = table.Column<byte[]>(type: "BLOB", nullable: false),
                    replaced_receipt = table.Column<byte[]>(type: "BLOB", nullable: true),
                    replaced_decision = table.Column<byte[]>(type: "BLOB", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_record_check", x => x.id);
                });

            migrationBuilder.CreateTable(
                name: "referral",
                columns: table => new
                {
                    referral_id = table.Column<string>(type: "TEXT", nullable: false),
                    task_id = table.Column<string>(type: "TEXT", nullable: false),
                    encounter_key = table.Column<Guid>(type: "TEXT", nullable: false),
                    patient_key = table.Column<Guid>(type: "TEXT", nullable: false),
                    clinic_id = table.Column<string>(type: "TEXT", nullable: false),
                    practice_ods = table.Column<string>(type: "TEXT", nullable: true),
                    destination = table.Column<string>(type: "TEXT", nullable: true),
                    tier = table.Column<string>(type: "TEXT", nullable: false),
                    lane = table.Column<int>(type: "INTEGER", nullable: false),
                    due = table.Column<long>(type: "INTEGER", nullable: true),
                    state = table.Column<string>(type: "TEXT", nullable: false),
                    task_status = table.Column<string>(type: "TEXT", nullable: false),
                    business_status = table.Column<string>(type: "TEXT", nullable: true),
                    request = table.Column<byte[]>(type: "BLOB", nullable: false),
                    request_sha256 = table.Column<string>(type: "TEXT", nullable: false),
                    idempotency_key = table.Column<string>(type: "TEXT", nullable: false),
                    correction = table.Column<int>(type: "INTEGER", nullable: true),
                    concerns = table.Column<string>(type: "TEXT", nullable: false),
                    replaced_by = table.Column<string>(type: "TEXT", nullable: true),
                    told_of = table.Column<long>(type: "INTEGER", nullable: true),
                    objection = table.Column<string>(type: "TEXT", nullable: false),
                    correlation_id = table.Column<string>(type: "TEXT", nullable: false),
                    locations = table.Column<string>(type: "TEXT", nullable: true),
                    created_at = table.Column<long>(type: "INTEGER", nullable: false),
                    evaluated_at = table.Column<long>(type: "INTEGER", nullable: false),
                    changed_at = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_referral", x => x.referral_id);
                });

            migrationBuilder.CreateTable(
                name: "refusal",
                columns: table => new
                {
                    id = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    clinic_id = table.Column<string>(type: "TEXT", nullable: false),
                    practice_ods = table.Column<string>(type: "TEXT", nullable: true),
                    client_id = table.Column<string>(type: "TEXT", nullable: false),
                    clinic_encounter_id = table.Column<string>(type: "TEXT", nullable: true),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    problem_ids = table.Column<string>(type: "TEXT", nullable: false),
                    provisional_tier = table.Column<string>(type: "TEXT", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_refusal", x => x.id);
                });

            migrationBuilder.CreateTable(
                name: "resource",
                columns: table => new
                {
                    key = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    type = table.Column<string>(type: "TEXT", nullable: false),
                    id = table.Column<string>(type: "TEXT", nullable: true),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    last_updated = table.Column<long>(type: "INTEGER", nullable: false),
                    content_sha256 = table.Column<string>(type: "TEXT", nullable: false),
                    clinic_id = table.Column<string>(type: "TEXT", nullable: false),
                    practice_ods = table.Column<string>(type: "TEXT", nullable: true),
                    destination = table.Column<string>(type: "TEXT", nullable: true),
                    shared = table.Column<bool>(type: "INTEGER", nullable: false),
                    patient_key = table.Column<Guid>(type: "TEXT", nullable: true),
                    encounter_key = table.Column<Guid>(type: "TEXT", nullable: true),
                    sort_date = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_resource", x => x.key);
                });

            migrationBuilder.CreateTable(
                name: "store_fact",
                columns: table => new
                {
                    name = table.Column<string>(type: "TEXT", nullable: false),
                    value = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_store_fact", x => x.name);
                });

            migrationBuilder.CreateTable(
                name: "alarm_message",
                columns: table => new
                {
                    id = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    alarm_id = table.Column<string>(type: "TEXT", nullable: false),
                    message_id = table.Column<string>(type: "TEXT", nullable: false),
                    step = table.Column<int>(type: "INTEGER", nullable: false),
                    channel = table.Column<string>(type: "TEXT", nullable: false),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    taken = table.Column<bool>(type: "INTEGER", nullable: false),
                    outcome = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_alarm_message", x => x.id);
                    table.ForeignKey(
                        name: "FK_alarm_message_alarm_alarm_id",
                        column: x => x.alarm_id,
                        principalTable: "alarm",
                        principalColumn: "id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "attempt",
                columns: table => new
                {
                    id = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    referral_id = table.Column<string>(type: "TEXT", nullable: false),
                    lease_token = table.Column<Guid>(type: "TEXT", nullable: false),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    status_code = table.Column<int>(type: "INTEGER", nullable: true),
                    outcome = table.Column<string>(type: "TEXT", nullable: false),
                    issues = table.Column<string>(type: "TEXT", nullable: true),
                    duration_milliseconds = table.Column<long>(type: "INTEGER", nullable: false),
                    lease_lost = table.Column<bool>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_attempt", x => x.id);
                    table.ForeignKey(
                        name: "FK_attempt_referral_referral_id",
                        column: x => x.referral_id,
                        principalTable: "referral",
                        principalColumn: "referral_id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "outbox",
                columns: table => new
                {
                    referral_id = table.Column<string>(type: "TEXT", nullable: false),
                    destination = table.Column<string>(type: "TEXT", nullable: false),
                    lane = table.Column<int>(type: "INTEGER", nullable: false),
                    due = table.Column<long>(type: "INTEGER", nullable: false),
                    state = table.Column<string>(type: "TEXT", nullable: false),
                    next_attempt_at = table.Column<long>(type: "INTEGER", nullable: false),
                    lease_token = table.Column<Guid>(type: "TEXT", nullable: true),
                    lease_until = table.Column<long>(type: "INTEGER", nullable: true),
                    settled_at = table.Column<long>(type: "INTEGER", nullable: true),
                    claims = table.Column<int>(type: "INTEGER", nullable: false),
                    reason = table.Column<string>(type: "TEXT", nullable: true),
                    queued_at = table.Column<long>(type: "INTEGER", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_outbox", x => x.referral_id);
                    table.ForeignKey(
                        name: "FK_outbox_referral_referral_id",
                        column: x => x.referral_id,
                        principalTable: "referral",
                        principalColumn: "referral_id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "referral_event",
                columns: table => new
                {
                    id = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    referral_id = table.Column<string>(type: "TEXT", nullable: false),
                    at = table.Column<long>(type: "INTEGER", nullable: false),
                    kind = table.Column<string>(type: "TEXT", nullable: false),
                    actor = table.Column<string>(type: "TEXT", nullable: false),
                    task_status = table.Column<string>(type: "TEXT", nullable: true),
                    business_status = table.Column<string>(type: "TEXT", nullable: true),
                    detail = table.Column<string>(type: "TEXT", nullable: true)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_referral_event", x => x.id);
                    table.ForeignKey(
                        name: "FK_referral_event_referral_referral_id",
                        column: x => x.referral_id,
                        principalTable: "referral",
                        principalColumn: "referral_id",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "resource_version",
                columns: table => new
                {
                    resource_key = table.Column<long>(type: "INTEGER", nullable: false),
                    version = table.Column<int>(type: "INTEGER", nullable: false),
                    last_updated = table.Column<long>(type: "INTEGER", nullable: false),
                    json = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_resource_version", x => new { x.resource_key, x.version });
                    table.ForeignKey(
                        name: "FK_resource_version_resource_resource_key",
                        column: x => x.resource_key,
                        principalTable: "resource",
                        principalColumn: "key",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "search_date",
                columns: table => new
                {
                    key = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    from = table.Column<long>(type: "INTEGER", nullable: false),
                    to = table.Column<long>(type: "INTEGER", nullable: false),
                    resource_key = table.Column<long>(type: "INTEGER", nullable: false),
                    parameter = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_search_date", x => x.key);
                    table.ForeignKey(
                        name: "FK_search_date_resource_resource_key",
                        column: x => x.resource_key,
                        principalTable: "resource",
                        principalColumn: "key",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "search_reference",
                columns: table => new
                {
                    key = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    target_type = table.Column<string>(type: "TEXT", nullable: false),
                    target_id = table.Column<string>(type: "TEXT", nullable: false),
                    resource_key = table.Column<long>(type: "INTEGER", nullable: false),
                    parameter = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_search_reference", x => x.key);
                    table.ForeignKey(
                        name: "FK_search_reference_resource_resource_key",
                        column: x => x.resource_key,
                        principalTable: "resource",
                        principalColumn: "key",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "search_text",
                columns: table => new
                {
                    key = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    normalised = table.Column<string>(type: "TEXT", nullable: false),
                    resource_key = table.Column<long>(type: "INTEGER", nullable: false),
                    parameter = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_search_text", x => x.key);
                    table.ForeignKey(
                        name: "FK_search_text_resource_resource_key",
                        column: x => x.resource_key,
                        principalTable: "resource",
                        principalColumn: "key",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateTable(
                name: "search_token",
                columns: table => new
                {
                    key = table.Column<long>(type: "INTEGER", nullable: false)
                        .Annotation("Sqlite:Autoincrement", true),
                    system = table.Column<string>(type: "TEXT", nullable: true),
                    code = table.Column<string>(type: "TEXT", nullable: false),
                    resource_key = table.Column<long>(type: "INTEGER", nullable: false),
                    parameter = table.Column<string>(type: "TEXT", nullable: false)
                },
                constraints: table =>
                {
                    table.PrimaryKey("PK_search_token", x => x.key);
                    table.ForeignKey(
                        name: "FK_search_token_resource_resource_key",
                        column: x => x.resource_key,
                        principalTable: "resource",
                        principalColumn: "key",
                        onDelete: ReferentialAction.Cascade);
                });

            migrationBuilder.CreateIndex(
                name: "IX_audit_seal_audit_id",
                table: "audit_seal",
                column: "audit_id",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_alarm_acknowledged_at_next_at",
                table: "alarm",
                columns: new[] { "acknowledged_at", "next_at" });

            migrationBuilder.CreateIndex(
                name: "IX_alarm_key",
                table: "alarm",
                column: "key");

            migrationBuilder.CreateIndex(
                name: "IX_alarm_referral_id",
                table: "alarm",
                column: "referral_id");

            migrationBuilder.CreateIndex(
                name: "IX_alarm_message_alarm_id",
                table: "alarm_message",
                column: "alarm_id");

            migrationBuilder.CreateIndex(
                name: "IX_attempt_referral_id",
                table: "attempt",
                column: "referral_id");

            migrationBuilder.CreateIndex(
                name: "IX_audit_at",
                table: "audit",
                column: "at");

            migrationBuilder.CreateIndex(
                name: "IX_audit_patient_key",
                table: "audit",
                column: "patient_key");

            migrationBuilder.CreateIndex(
                name: "IX_encounter_revision_clinic_id_clinic_encounter_id_revision",
                table: "encounter_revision",
                columns: new[] { "clinic_id", "clinic_encounter_id", "revision" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_encounter_revision_clinic_id_practice_ods",
                table: "encounter_revision",
                columns: new[] { "clinic_id", "practice_ods" });

            migrationBuilder.CreateIndex(
                name: "IX_encounter_revision_encounter_key_revision",
                table: "encounter_revision",
                columns: new[] { "encounter_key", "revision" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_encounter_revision_received_at",
                table: "encounter_revision",
                column: "received_at");

            migrationBuilder.CreateIndex(
                name: "IX_identity_decision_patient_key",
                table: "identity_decision",
                column: "patient_key");

            migrationBuilder.CreateIndex(
                name: "IX_identity_seed_seed",
                table: "identity_seed",
                column: "seed",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_later_visit_referral_id",
                table: "later_visit",
                column: "referral_id");

            migrationBuilder.CreateIndex(
                name: "IX_outbox_destination_state_lane_due",
                table: "outbox",
                columns: new[] { "destination", "state", "lane", "due" });

            migrationBuilder.CreateIndex(
                name: "IX_patient_link_nhs_number",
                table: "patient_link",
                column: "nhs_number");

            migrationBuilder.CreateIndex(
                name: "IX_patient_link_patient_key",
                table: "patient_link",
                column: "patient_key");

            migrationBuilder.CreateIndex(
                name: "IX_quarantine_at",
                table: "quarantine",
                column: "at");

            migrationBuilder.CreateIndex(
                name: "IX_record_check_encounter_key",
                table: "record_check",
                column: "encounter_key");

            migrationBuilder.CreateIndex(
                name: "IX_referral_changed_at_referral_id",
                table: "referral",
                columns: new[] { "changed_at", "referral_id" });

            migrationBuilder.CreateIndex(
                name: "IX_referral_encounter_key",
                table: "referral",
                column: "encounter_key");

            migrationBuilder.CreateIndex(
                name: "IX_referral_idempotency_key",
                table: "referral",
                column: "idempotency_key",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_referral_task_id",
                table: "referral",
                column: "task_id",
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_referral_event_referral_id",
                table: "referral_event",
                column: "referral_id");

            migrationBuilder.CreateIndex(
                name: "IX_refusal_clinic_id_at",
                table: "refusal",
                columns: new[] { "clinic_id", "at" });

            migrationBuilder.CreateIndex(
                name: "IX_resource_encounter_key",
                table: "resource",
                column: "encounter_key");

            migrationBuilder.CreateIndex(
                name: "IX_resource_type_id",
                table: "resource",
                columns: new[] { "type", "id" },
                unique: true);

            migrationBuilder.CreateIndex(
                name: "IX_resource_type_last_updated_id",
                table: "resource",
                columns: new[] { "type", "last_updated", "id" });

            migrationBuilder.CreateIndex(
                name: "IX_resource_type_sort_date_id",
                table: "resource",
                columns: new[] { "type", "sort_date", "id" });

            migrationBuilder.CreateIndex(
                name: "IX_search_date_parameter_from",
                table: "search_date",
                columns: new[] { "parameter", "from" });

            migrationBuilder.CreateIndex(
                name: "IX_search_date_resource_key",
                table: "search_date",
                column: "resource_key");

            migrationBuilder.CreateIndex(
                name: "IX_search_reference_parameter_target_id",
                table: "search_reference",
                columns: new[] { "parameter", "target_id" });

            migrationBuilder.CreateIndex(
                name: "IX_search_reference_resource_key",
                table: "search_reference",
                column: "resource_key");

            migrationBuilder.CreateIndex(
                name: "IX_search_text_parameter_normalised",
                table: "search_text",
                columns: new[] { "parameter", "normalised" });

            migrationBuilder.CreateIndex(
                name: "IX_search_text_resource_key",
                table: "search_text",
                column: "resource_key");

            migrationBuilder.CreateIndex(
                name: "IX_search_token_parameter_code_system",
                table: "search_token",
                columns: new[] { "parameter", "code", "system" });

            migrationBuilder.CreateIndex(
                name: "IX_search_token_resource_key",
                table: "search_token",
                column: "resource_key");
        }

        /// <inheritdoc />
        protected override void Down(MigrationBuilder migrationBuilder)
        {
            migrationBuilder.DropTable(
                name: "alarm_message");

            migrationBuilder.DropTable(
                name: "attempt");

            migrationBuilder.DropTable(
                name: "audit");

            migrationBuilder.DropTable(
                name: "audit_seal");

            migrationBuilder.DropTable(
                name: "channel");

            migrationBuilder.DropTable(
                name: "destination");

            migrationBuilder.DropTable(
                name: "encounter_revision");

            migrationBuilder.DropTable(
                name: "history_review");

            migrationBuilder.DropTable(
                name: "identity_conflict");

            migrationBuilder.DropTable(
                name: "identity_decision");

            migrationBuilder.DropTable(
                name: "identity_seed");

            migrationBuilder.DropTable(
                name: "known_resource");

            migrationBuilder.DropTable(
                name: "later_visit");

            migrationBuilder.DropTable(
                name: "outbox");

            migrationBuilder.DropTable(
                name: "patient_link");

            migrationBuilder.DropTable(
                name: "quarantine");

            migrationBuilder.DropTable(
                name: "record_check");

            migrationBuilder.DropTable(
                name: "referral_event");

            migrationBuilder.DropTable(
                name: "refusal");

            migrationBuilder.DropTable(
                name: "resource_version");

            migrationBuilder.DropTable(
                name: "search_date");

            migrationBuilder.DropTable(
                name: "search_reference");

            migrationBuilder.DropTable(
                name: "search_text");

            migrationBuilder.DropTable(
                name: "search_token");

            migrationBuilder.DropTable(
                name: "store_fact");

            migrationBuilder.DropTable(
                name: "alarm");

            migrationBuilder.DropTable(
                name: "referral");

            migrationBuilder.DropTable(
                name: "resource");
        }
    }
}
