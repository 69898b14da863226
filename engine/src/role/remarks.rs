//! The occasions on which calculators make remarks, and the sentences in which they tell what they find.

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

roles! {
    /// A sentence with which a calculator tells what it finds: the pack says it, and names in braces are filled in.
    Sentence {
        /// The paste brings alkali enough.
        AlkaliEnough = "alkali.enough",
        /// It does not.
        AlkaliShort = "alkali.short",
        /// It may or may not.
        AlkaliEither = "alkali.either",
        /// Acid eats the host.
        HostEaten = "neutraliser.eaten",
        /// Nobody has said what the host is.
        HostMayBeEaten = "neutraliser.may-be-eaten",
        /// What too much acid could do; `{mass}` of carbonate.
        HostRisk = "neutraliser.risk",
        /// `{what}` is below `{mark}` on `{date}`.
        DustBelow = "lead.dust-below",
        /// It reaches it.
        DustReaches = "lead.dust-reaches",
        /// It may reach it.
        DustMayReach = "lead.dust-may-reach",
        /// So little lead cannot reach `{mark}`.
        CannotLeach = "lead.cannot-leach",
        /// It can.
        CanLeach = "lead.can-leach",
        /// No mark for `{title}` is in force.
        NoLeadMark = "lead.no-mark",
        /// `{what}` reaches `{mark}`.
        LeadPaint = "lead.paint",
        /// It is below it.
        BelowLeadPaint = "lead.below-paint",
        /// It may reach it.
        MayBeLeadPaint = "lead.may-be-paint",
        /// What `{word}` means to facilities, where low is below `{low}`.
        WordInFacilities = "jet.in-facilities",
        /// What it means on old masonry, where low is `{low}` and medium goes up to `{medium}`.
        WordOnMasonry = "jet.on-masonry",
        /// The least fan, of `{angle}` degrees.
        Fan = "jet.fan",
        /// The flow was not given.
        SayFlow = "jet.say-flow",
        /// The substrate was not given.
        SaySubstrate = "jet.say-substrate",
        /// No method washes so.
        NoJetMethod = "jet.no-method",
        /// No rule speaks against it.
        NoJetRule = "jet.no-rule",
        /// There is air enough.
        AirEnough = "vapour.enough",
        /// There is not.
        AirShort = "vapour.short",
        /// There may or may not be.
        AirEither = "vapour.either",
        /// Thinning is meant from `{from}` up.
        NotThinned = "vapour.not-thinned",
        /// What may be breathed is not known.
        NoFigureInAir = "vapour.no-figure",
        /// Within `{within}` of the boundary a screen is wanted.
        SayBoundary = "sheeting.say-boundary",
        /// The boundary is within `{within}`.
        BoundaryNear = "sheeting.boundary-near",
        /// It is farther.
        BoundaryFar = "sheeting.boundary-far",
        /// One reading alone.
        ReadOnce = "ph.read-once",
    }
}
