//! The occasions on which calculators make remarks.

use super::Role;

roles! {
    /// When a remark of a pack is made: with every sheet of a calculator, or where something was given or found.
    Occasion {
        /// With air and its dew point.
        Air = "air",
        /// With the moisture that timber comes to.
        Timber = "timber",
        /// Where salts on steel were read.
        Salts = "steel.salts",
        /// Where a profile of steel was read.
        Profile = "steel.profile",
        /// With hydrogen from metal in alkali.
        Hydrogen = "hydrogen",
        /// With vapour from a remover.
        Vapour = "vapour",
        /// With hours and days.
        Labour = "labour",
        /// Where cloths are counted.
        Cloths = "samples.cloths",
        /// Where readings of pH are counted.
        Readings = "samples.readings",
        /// Where test patches are counted.
        Patches = "samples.patches",
        /// Where samples at random are counted.
        Random = "samples.random",
        /// With the pH of a rinsed surface.
        Ph = "ph",
        /// With lead on the wall, in waste and in dust.
        Lead = "lead",
        /// Where dust was wiped.
        Wiped = "lead.wiped",
        /// With remover and film.
        Remover = "remover",
        /// Where the number of applications was reckoned or taken as usual.
        Applications = "applications",
        /// With the fire watch.
        FireWatch = "fire-watch",
        /// With drying.
        Drying = "drying",
        /// With alkali for old oil paint.
        Alkali = "alkali",
        /// Where acid may meet a host that it eats.
        LimeHost = "neutraliser.lime",
        /// With acid to neutralise what is left.
        Neutraliser = "neutraliser",
        /// Where the acid is oxalic.
        Oxalic = "neutraliser.oxalic",
        /// With sheeting.
        Sheeting = "sheeting",
        /// With a jet of water.
        Jet = "jet",
        /// With run-off, tank and bund.
        RunOff = "run-off",
        /// With what a log of patches tells.
        PatchLog = "patches",
        /// With the patches to make.
        PatchPlan = "patch-plan",
    }
}
