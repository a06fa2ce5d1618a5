using EarReferral.Encounters.Rules;

namespace EarReferral.Encounters.Tests.Rules;

/// <summary>The modulus 11 rule of the NHS Data Dictionary, attribute NHS NUMBER.</summary>
public sealed class NhsNumberRuleTests
{
    [Theory]
    [InlineData("9434765919", "worked example often shown with the NHS Data Dictionary rule")]
    [InlineData("4010232137", "valid number in published descriptions of the rule")]
    [InlineData("9449305552", "valid number in published descriptions of the rule")]
    [InlineData("9990000018", "test range")]
    [InlineData("9990000026", "test range")]
    [InlineData("9990000034", "test range")]
    [InlineData("9990000042", "test range")]
    [InlineData("9990000069", "test range")]
    [InlineData("9434765870", "11 less remainder is 11, counts as 0")]
    [InlineData("9990000050", "11 less remainder is 11, counts as 0")]
    [InlineData("9990000190", "11 less remainder is 11, counts as 0")]
    [InlineData("9990000220", "11 less remainder is 11, counts as 0")]
    public void A_right_check_digit_is_accepted(string number, string reason) => Assert.True(NhsNumberRule.HasRightCheckDigit(number), reason);

    [Theory]
    [InlineData("1234567890", "arithmetic gives another digit")]
    [InlineData("9434765918", "last digit one too low")]
    [InlineData("943476591", "nine digits")]
    [InlineData("94347659199", "eleven digits")]
    [InlineData("943476591X", "a letter")]
    public void A_wrong_check_digit_is_refused(string number, string reason) => Assert.False(NhsNumberRule.HasRightCheckDigit(number), reason);

    [Theory]
    [InlineData("999000000")]
    [InlineData("999000014")]
    [InlineData("999000028")]
    [InlineData("999000031")]
    public void Nine_digits_whose_check_would_be_ten_have_no_right_last_digit(string prefix) =>
        Assert.All(Enumerable.Range(0, 10), last => Assert.False(NhsNumberRule.HasRightCheckDigit($"{prefix}{last}")));

    [Theory]
    [InlineData("0000000000")]
    [InlineData("9999999999")]
    public void Ten_equal_digits_pass_the_arithmetic_and_are_therefore_refused_by_name(string number) =>
        Assert.True(NhsNumberRule.HasRightCheckDigit(number));
}
