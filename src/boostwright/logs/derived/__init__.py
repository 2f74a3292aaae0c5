"""What follows from the channels of a log: each quantity with its formula and how far it can be off.

uncertain   values with their named sources of error, carried through any formula
facts       what must be known of the car, in SI: handed over by the task, nothing here opens a build
rows        instants of a log at which quantities are worked out, never finer than the slowest channel they need
pressures, air_flow, compressor, turbine, exhaust_side, charge, engine_load, egt    one subject a file
catalogue   every quantity, in the order of the gas; ``work_out`` makes all that can be made
"""
