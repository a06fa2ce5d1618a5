// Every class starts programs of its own; side by side they would take each other's processor time and run into their time limits.
[assembly: Xunit.v3.Parallelization(Mode = Xunit.Sdk.ParallelMode.None)]
