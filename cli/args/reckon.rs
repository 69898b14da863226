//! `ovolo reckon …`: the calculators on their own.

use clap::Subcommand;

#[derive(Debug, Subcommand)]
pub(crate) enum ReckonCommand {
    /// Dew point of air
    DewPoint {
        /// Air temperature, such as "15 C"
        air: String,
        /// Relative humidity, such as "70 %"
        humidity: String,
    },
}
