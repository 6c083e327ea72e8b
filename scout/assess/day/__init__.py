"""What a day plan asks of a setup: spells that suit it, and what stands in its way, in words."""
