using EarReferral.Gateway.Security;

namespace EarReferral.Security.Tests.Tokens;

/// <summary>Source: SMART App Launch 2, scopes and launch context: letters in the order cruds; version 1 words mapped as stated there.</summary>
public sealed class SmartScopeTests
{
    [Theory]
    [InlineData("system/Procedure.rs", "Procedure", "rs")]
    [InlineData("system/*.cruds", "*", "cruds")]
    [InlineData("system/Patient.read", "Patient", "rs")]
    [InlineData("system/Patient.write", "Patient", "cud")]
    [InlineData("system/Patient.*", "Patient", "cruds")]
    public void ScopeIsRead(string scope, string type, string letters) => Assert.Equal(new SmartScope(type, letters), SmartScope.Parse(scope));

    [Theory]
    [InlineData("system/Procedure.sr")]
    [InlineData("system/Procedure.rr")]
    [InlineData("system/Procedure.")]
    [InlineData("system/Procedure")]
    [InlineData("system/procedure.rs")]
    [InlineData("patient/Procedure.rs")]
    [InlineData("user/Procedure.rs")]
    [InlineData("system/Procedure.rs?category=x")]
    [InlineData("system/Proc*.rs")]
    public void WhatIsNoScopeOfABackendService_IsNone(string scope) => Assert.Null(SmartScope.Parse(scope));

    [Fact]
    public void GrantNeverExceedsTheRegistration() =>
        Assert.Equal(["system/Procedure.r", "clinic.read"], ScopeSet.Of("system/*.rs clinic.read").Grant("system/Procedure.r system/Procedure.u clinic.read clinic.write"));
}
