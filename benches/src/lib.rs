//! Benchmarks of seatyield; see `benches/`.
