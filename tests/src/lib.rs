//! Whole-program tests of seatyield live in `tests/`; this library holds what they share.
