"""An invented hire fleet with planted truths, and the generator that makes it and fleets of any size."""
