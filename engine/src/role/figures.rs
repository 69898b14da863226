//! The figures and limits that calculators ask for, calculator by calculator.

use super::Role;

/// What a figure or limit with this role is stated for, besides itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    /// Nothing: there is one.
    Nothing,
    /// A method of the catalogue: one for each.
    Method,
    /// A choice of how much detail a surface has.
    Detail,
    /// A name that is given to the calculator, such as that of a solvent.
    Name,
}

roles! {
    /// What a figure is to the calculators.
    FigureRole {
        // Removers: how thick, how dense, how much is lost.
        /// Thickness in which a method is usually put on.
        Thickness = "thickness",
        /// Density of what is put on.
        Density = "density",
        /// Time for which it usually stays on.
        Dwell = "dwell",
        /// Thickness of paint that one application takes off.
        Lifts = "lifts",
        /// True surface over the flat one.
        Detail = "detail",
        /// Remover that is lost.
        RemoverLoss = "remover-loss",
        /// Film and sheeting lost to overlaps and cuts.
        FilmLoss = "film-loss",
        /// How often it is put on where the build-up is not known.
        Applications = "applications",
        // Alkali and acid.
        /// Density of old oil paint.
        OilDensity = "oil-density",
        /// Binder in old oil paint.
        OilBinder = "oil-binder",
        /// Saponification value of the oil.
        Saponification = "saponification",
        /// Alkali in an alkaline paste.
        PasteStrength = "paste-strength",
        /// Paste that scraping and rinsing leave behind.
        PasteResidue = "paste-residue",
        /// Strength of the acid wash.
        AcidStrength = "acid-strength",
        /// Density of the acid wash.
        AcidDensity = "acid-density",
        // Waste and lead.
        /// Thickness of one layer of paint.
        LayerThickness = "thickness-of-a-layer",
        /// Density of paint with lead.
        LeadedDensity = "leaded-density",
        /// Density of paint without.
        UnleadedDensity = "unleaded-density",
        /// How much liquid the leach test thins waste with.
        LeachDilution = "leach-dilution",
        // Hours and days.
        /// Area that one person does in a time.
        Rate = "rate",
        /// The same where only what is loose comes off.
        LooseRate = "loose-rate",
        /// What stands for an attribute of a method where only what is loose comes off: of `ATTRIBUTE-METHOD`.
        LooseInstead = "loose-instead",
        /// How much detail slows work.
        DetailSlows = "detail-slows",
        /// Setting up, over the work.
        SettingUp = "set-up",
        /// Hours at the work in a day.
        Day = "day-of-work",
        /// Days that are worked in a week.
        Week = "week-of-work",
        // Trials and samples.
        /// Dwells that are tried.
        PatchDwells = "dwells-tried",
        /// Thicknesses that are tried.
        PatchThicknesses = "thicknesses-tried",
        /// Side of a patch.
        PatchSide = "side-of-a-patch",
        /// Area of a patch on brick.
        PatchOnBrick = "patch-area-on-brick",
        /// Area of a panel on masonry after the patches.
        Panel = "panel-area",
        /// How much faster ten degrees make a remover.
        Warmth = "warmth",
        /// Confidence of samples.
        Confidence = "confidence",
        /// Floor that one cloth wipes.
        ClothSection = "floor-of-a-cloth",
        /// Area that wants readings of its own.
        ReadingsArea = "area-of-readings",
        /// How many readings it wants.
        ReadingsEach = "readings-of-an-area",
        // Sheeting.
        /// Sheeting beyond the work inside, where no law says.
        SheetingInside = "sheeting-inside",
        /// Sheeting beyond the work outside, where no law says.
        SheetingOutside = "sheeting-outside",
        /// Floor to clean beyond the sheeting.
        CleanBeyond = "cleaned-beyond",
        // Metal.
        /// Water in the cell.
        CellWater = "cell-water",
        /// Area of the cell.
        CellArea = "cell-area",
        /// Salt for a rise in conductivity.
        CellConstant = "cell-constant",
        /// Profile by the comparator.
        Profile = "profile",
        /// The least profile.
        LeastProfile = "least-profile",
        /// Hydrogen that is a quarter of what can explode.
        Hydrogen = "hydrogen",
        // pH, rinsing and run-off.
        /// How finely a strip reads.
        StripResolution = "strip-resolution",
        /// The wider span about the rinse water.
        WiderSpan = "wider-span",
        /// Share of a solution that a rinse leaves behind.
        RinseResidue = "rinse-residue",
        /// Water of one rinse.
        RinseWater = "water-of-a-rinse",
        /// Room to spare in a tank.
        TankReserve = "tank-reserve",
        /// What a bund holds, of the largest container.
        Bund = "bund",
        /// pH that sewers usually take.
        SewerPh = "sewer-ph",
        // Jets of water.
        /// Low pressure as facilities use the word.
        LowInFacilities = "low-in-facilities",
        /// Low pressure as guidance for old masonry uses the word.
        LowOnMasonry = "low-on-masonry",
        /// Medium pressure as that guidance uses the word.
        MediumOnMasonry = "medium-on-masonry",
        /// The least distance of a nozzle.
        NozzleDistance = "nozzle-distance",
        /// The least angle of a fan.
        FanAngle = "fan-angle",
        /// Depth of the strip that a fan strikes.
        Strip = "struck-strip",
        // Drying and vapour.
        /// How fast a ground dries.
        Drying = "drying",
        /// Depth from which a screed dries slower.
        DeepFrom = "deep-from",
        /// How fast it dries below that.
        DeepDrying = "deep-drying",
        /// How badly air mixes.
        Mixing = "mixing",
        /// From which concentration thinning is meant for a substance.
        ThinnedFrom = "thinned-from",
        /// Share of a vapour that is left when a room counts as clear.
        Cleared = "cleared",
        /// Molar mass of a solvent.
        MolarMass = "molar-mass",
        /// Vapour pressure of a solvent.
        VapourPressure = "vapour-pressure",
        /// Share of a solvent that evaporates.
        Evaporates = "evaporates",
    }
}

impl FigureRole {
    /// What a figure with this role is stated for.
    pub fn of(self) -> Of {
        match self {
            Self::Thickness | Self::Density | Self::Dwell | Self::Lifts | Self::Rate | Self::LooseRate => Of::Method,
            Self::Detail | Self::DetailSlows => Of::Detail,
            Self::LooseInstead
            | Self::Profile
            | Self::Drying
            | Self::Mixing
            | Self::MolarMass
            | Self::VapourPressure
            | Self::Evaporates => Of::Name,
            _ => Of::Nothing,
        }
    }
}

roles! {
    /// What a limit is to the calculators.
    LimitRole {
        /// The watch after the last heat.
        Watch = "watch",
        /// The watch in a historic building.
        WatchHistoric = "watch-historic",
        /// Lead in dust on floors.
        DustOnFloors = "dust-on-floors",
        /// Lead in dust on sills.
        DustOnSills = "dust-on-sills",
        /// Lead in dust in window troughs.
        DustInTroughs = "dust-in-troughs",
        /// Lead that waste gives up in the leach test.
        Leached = "leached",
        /// Lead by weight from which paint is lead paint.
        LeadByWeight = "lead-by-weight",
        /// Lead on an area from which paint is lead paint.
        LeadOnArea = "lead-on-area",
        /// Sheeting beyond the work inside.
        SheetingInside = "sheeting-inside",
        /// Sheeting beyond the work outside.
        SheetingOutside = "sheeting-outside",
        /// How near a boundary wants an upright screen.
        Screen = "screen",
        /// pH from which waste is hazardous for being alkaline.
        AlkalineWaste = "alkaline-waste",
        /// pH up to which waste is hazardous for being acid.
        AcidWaste = "acid-waste",
        /// The least pH that a sewer takes.
        LeastSewerPh = "least-sewer-ph",
        /// How far above its rinse water a surface may read.
        AboveRinseWater = "above-rinse-water",
        /// Humidity for coating.
        CoatingHumidity = "coating-air",
        /// How far above the dew point a surface has to be.
        DewPointMargin = "above-dew-point",
        /// Humidity at a wall that is dry enough.
        WallHumidity = "dry-wall",
        /// Moisture of timber for priming inside.
        TimberInside = "timber-inside",
        /// Moisture of timber for priming outside.
        TimberOutside = "timber-outside",
        /// Salt on steel in the open.
        SaltInTheOpen = "salt-in-the-open",
        /// Salt on steel under water.
        SaltUnderWater = "salt-under-water",
        /// What may be breathed of a substance.
        InAir = "in-air",
    }
}

impl LimitRole {
    /// What a limit with this role is stated for.
    pub fn of(self) -> Of {
        match self {
            Self::InAir => Of::Name,
            _ => Of::Nothing,
        }
    }
}
