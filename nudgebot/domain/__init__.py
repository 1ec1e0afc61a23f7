"""The trade: values in, decisions out; no clock, no I/O."""
