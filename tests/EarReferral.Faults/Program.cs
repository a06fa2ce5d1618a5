using EarReferral.Faults;

if (RunSettings.Parse(args) is not { } settings)
{
    await Console.Error.WriteLineAsync(RunSettings.Usage);
    return 2;
}

using var stop = new CancellationTokenSource();
Console.CancelKeyPress += (_, pressed) =>
{
    pressed.Cancel = true;
    stop.Cancel();
};
var folder = settings.Data ?? Directory.CreateTempSubdirectory("ear-faults-").FullName;
Directory.CreateDirectory(folder);
bool isGood;
await using (var run = new FaultRun(settings, folder, Console.Out))
{
    isGood = await run.RunAsync(stop.Token);
}

if (!isGood)
{
    Console.WriteLine($"logs and both stores: {folder}");
    return 1;
}

if (settings.Data is null)
{
    Directory.Delete(folder, recursive: true);
}

return 0;
