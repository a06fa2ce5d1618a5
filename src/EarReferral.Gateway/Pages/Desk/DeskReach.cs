using EarReferral.Gateway.Intake;
using EarReferral.Gateway.Security.People;
using EarReferral.Storage;

namespace EarReferral.Gateway.Pages.Desk;

/// <summary>Whose records a person sees on the pages, and what they may do there.</summary>
internal sealed class DeskReach(IHttpContextAccessor http, ISignedInPerson person)
{
    /// <summary>The person.</summary>
    public ISignedInPerson Person => person;

    /// <summary>Whose records.</summary>
    public Reach Reach => Callers.Of(http.HttpContext!).Reach;

    /// <summary>True when the person has one of the roles.</summary>
    public bool May(params ReadOnlySpan<string> roles)
    {
        foreach (var role in roles)
        {
            if (person.Roles.Contains(role))
            {
                return true;
            }
        }

        return false;
    }
}
