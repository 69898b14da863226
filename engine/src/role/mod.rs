//! Roles: the parts that things of a rule book play for the engine.
//!
//! No id of a pack stands in Rust. Where the engine has to know which fact says that a surface is outside, or which attribute marks
//! a method that leaves the coats, it asks for a role, and a pack declares on the thing itself that it plays it. These are all
//! the roles that there are. A role is claimed once. A rule book in which any fact plays a role besides the kind of a coat fills all roles
//! of facts and attributes, or is refused: what is missing would leave a proof or a sheet with less than it says. A small book that
//! claims none loads, and what needs a role says that it has none.

/// Something that can be claimed by a word.
pub trait Role: Copy + Eq + Sized + 'static {
    /// All of its kind.
    const ALL: &'static [Self];

    /// The word used in files.
    fn word(self) -> &'static str;

    /// By the word used in files.
    fn find(word: &str) -> Option<Self> {
        Self::ALL.iter().copied().find(|r| r.word() == word)
    }
}

/// Declares roles with their words.
macro_rules! roles {
    ($(#[$about:meta])* $name:ident { $($(#[$doc:meta])* $role:ident = $word:literal),+ $(,)? }) => {
        $(#[$about])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        pub enum $name { $($(#[$doc])* $role),+ }

        impl Role for $name {
            const ALL: &'static [Self] = &[$(Self::$role),+];

            fn word(self) -> &'static str {
                match self { $(Self::$role => $word),+ }
            }
        }
    };
}

mod figures;
mod remarks;

pub use figures::{FigureRole, LimitRole, Of};
pub use remarks::{Occasion, Sentence};

/// A role, and what the thing that plays it is stated for, such as a method.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Key<'a, R> {
    /// The role.
    pub role: R,
    /// What it is stated for; nothing where there is one thing of the role.
    pub of: Option<&'a str>,
}

impl<R> From<R> for Key<'_, R> {
    fn from(role: R) -> Self {
        Self { role, of: None }
    }
}

impl<'a, R> From<(R, &'a str)> for Key<'a, R> {
    fn from((role, of): (R, &'a str)) -> Self {
        Self { role, of: Some(of) }
    }
}

impl<'a, R> From<(R, &'a String)> for Key<'a, R> {
    fn from((role, of): (R, &'a String)) -> Self {
        Self { role, of: Some(of) }
    }
}

impl<R: Role> Key<'_, R> {
    /// As messages name it.
    pub fn words(self) -> String {
        match self.of {
            Some(of) => format!("`{}` of `{of}`", self.role.word()),
            None => format!("`{}`", self.role.word()),
        }
    }
}

/// The role that a figure or limit plays, as its pack says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Plays<R> {
    /// The role.
    pub role: R,
    /// What it is stated for.
    pub of: Option<String>,
}

impl<R: Role> Plays<R> {
    /// Whether it is what a key asks for.
    pub fn is(&self, key: Key<'_, R>) -> bool {
        self.role == key.role && self.of.as_deref() == key.of
    }
}

roles! {
    /// What a fact is to the engine.
    FactRole {
        /// Whether the surface is inside or outside.
        Where = "where",
        /// What part of the building the surface is.
        Element = "element",
        /// What lies under the paint.
        Substrate = "substrate",
        /// How large the painted area is.
        Area = "area",
        /// How much mouldings and carving there is.
        Detail = "detail",
        /// How long the work is along the wall or floor.
        Length = "length",
        /// How far beyond the work is sheeted.
        Sheeting = "sheeting",
        /// The pH of what is caught.
        EffluentPh = "effluent-ph",
        /// How warm the surface is.
        SurfaceTemperature = "surface-temperature",
        /// Whether a trial patch comes first.
        Trial = "trial",
        /// How warm the air is.
        AirTemperature = "air-temperature",
        /// How damp the air is.
        Humidity = "humidity",
        /// How far the neighbour is.
        Boundary = "boundary",
        /// How long somebody watches after the last heat.
        Watch = "watch",
        /// What kind of coat it is.
        Kind = "kind",
        /// Whether there is lead in the coat.
        Lead = "lead",
        /// Lead on an area, as an instrument reads it.
        LeadLoading = "lead-loading",
        /// Lead by weight, as a laboratory finds it.
        LeadContent = "lead-content",
        /// Whether there is asbestos in the coat.
        Asbestos = "asbestos",
        /// How many layers the coat has.
        Layers = "layers",
        /// How thick the coat is.
        Thickness = "thickness",
        /// How long it stays on.
        Dwell = "dwell",
        /// How thick it is put on.
        Applied = "applied",
        /// The pressure of the water.
        WaterPressure = "water-pressure",
        /// What an incident was.
        Happened = "happened",
        /// How long ago it was.
        HappenedAgo = "happened-ago",
        /// What is seen of a trouble.
        Seen = "seen",
    }
}

impl FactRole {
    /// The roles that its choices have to play among them.
    pub fn choices(self) -> &'static [ChoiceRole] {
        match self {
            Self::Where => &[ChoiceRole::Outside],
            Self::Lead | Self::Asbestos => &[ChoiceRole::Present, ChoiceRole::Absent],
            _ => &[],
        }
    }
}

roles! {
    /// What a choice of a fact is to the engine.
    ChoiceRole {
        /// The surface is outside.
        Outside = "outside",
        /// It is there.
        Present = "present",
        /// It is not there.
        Absent = "absent",
        /// What happened is about the surface that was worked on.
        OfSurface = "of-surface",
    }
}

roles! {
    /// What an entry of the catalogue is to the engine.
    EntryRole {
        /// The method that stands for an alkaline paste where none is named.
        AlkalinePaste = "alkaline-paste",
    }
}

roles! {
    /// What an attribute of substrates or methods is to the engine.
    AttributeRole {
        /// The method leaves the coats.
        Keeps = "keeps",
        /// What sort of method it is.
        Family = "family",
        /// How much it can hurt people.
        Hazard = "hazard",
        /// The substrate is brick, stone, render or concrete.
        Masonry = "masonry",
        /// The substrate is plaster.
        Plaster = "plaster",
        /// Acid eats the substrate.
        Calcareous = "calcareous",
        /// The substrate is gypsum.
        Gypsum = "gypsum",
        /// The substrate drinks liquids.
        Porous = "porous",
    }
}
