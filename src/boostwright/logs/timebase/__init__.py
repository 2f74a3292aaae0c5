"""The time of a log: when a channel was really sampled, how late it is, and what another clock says.

sampling.py       which rows of a channel are fresh; rows.py looks at many channels at once
stamps.py         what the stamps themselves are worth
resample.py       onto another base, with no value that was not there
"""
