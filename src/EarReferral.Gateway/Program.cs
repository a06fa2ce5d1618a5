using EarReferral.Gateway.CommandLine;

return await GatewayCommands.RunAsync(args);
