//! Python interface of upstand: the compiled half of the package `upstand`.
//!
//! This crate converts and forwards. It holds no rule of the trade. What each name does is said in
//! `python/upstand/_upstand.pyi`, the documentation that Python's tools read.

mod cut_list;
mod error;
mod geojson;
mod job;
mod listing;
mod plan;
mod record;
mod roof;
mod survey;
mod table;
mod text;
mod value;

use pyo3::prelude::*;

/// The compiled half of the package.
#[pymodule(gil_used = false)]
mod _upstand {
    #[pymodule_export]
    use crate::cut_list::{
        PyCutBar, PyCutList, PyPiece, PyProgress, PyTradeOff, check_cut_list, cut_list, solve_cutting, trade_offs,
    };
    #[pymodule_export]
    use crate::error::error_codes;
    #[pymodule_export]
    use crate::job::PyJob;
    #[pymodule_export]
    use crate::plan::{PyFinding, PyPlan, check, mitre, plan};
    #[pymodule_export]
    use crate::record::{PyReport, check_record};
    #[pymodule_export]
    use crate::roof::PyRoof;
    #[pymodule_export]
    use crate::survey::{
        PyAdjusted, adjust_network, close_traverse, dew_point, drain, frost_point, print_imperial, read_imperial,
    };

    #[pymodule_export]
    #[allow(non_upper_case_globals)]
    const __version__: &str = env!("CARGO_PKG_VERSION");
}
