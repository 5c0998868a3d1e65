"""From a verdict to one addition that may be advised, or the reasons why none is."""
