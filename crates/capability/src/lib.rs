//! Statistics of readings, simulated or measured: moments, quantiles, exact intervals, capability indices; of measured lots also
//! their normality, subgroups, order of production, far readings, resolution, and the study of their gauge.

pub mod binomial;
pub mod covariance;
pub mod gauge;
pub mod index;
mod interval;
pub mod masks;
pub mod moments;
pub mod normality;
pub mod order;
pub mod outliers;
pub mod powers;
pub mod quantiles;
pub mod resolution;
pub mod sets;
pub mod sketch;
pub mod subgroups;
pub mod sum;
pub mod tally;
mod test;

pub use interval::Interval;
pub use test::Test;
