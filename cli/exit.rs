//! Exit codes.

use ovolo_engine::judge::Verdict;
use ovolo_engine::reckon::{Sheet, Standing};
use std::process::ExitCode;

/// How the program ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Exit {
    /// 0: done; for `check`, the method suits, with its conditions; for `reckon`, nothing fails or is open.
    Suited,
    /// 1: for `check`, the method is ruled out.
    RuledOut,
    /// 1: for `rules try` and `rules replay`, something did not come out as it should; for `reckon`, something fails.
    NotSo,
    /// 2: the command line, the survey or a pack cannot be used, or the result could not be written.
    Unusable,
    /// 3: for `check`, the method is on hold, or it can't be told yet; for `reckon`, something is open.
    Undecided,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(match exit {
            Exit::Suited => 0,
            Exit::RuledOut | Exit::NotSo => 1,
            Exit::Unusable => 2,
            Exit::Undecided => 3,
        })
    }
}

impl Exit {
    /// The code of a sheet: figures that nothing was held against are done.
    pub(crate) fn of_sheet(sheet: &Sheet) -> Self {
        match sheet.stands() {
            Standing::Fails => Self::NotSo,
            Standing::Open => Self::Undecided,
            Standing::Passes | Standing::Plain => Self::Suited,
        }
    }

    /// The code of a verdict.
    pub(crate) fn of(verdict: Verdict) -> Self {
        if verdict == Verdict::RuledOut {
            Self::RuledOut
        } else if verdict.suits() {
            Self::Suited
        } else {
            Self::Undecided
        }
    }
}
