//! Shared by the tests of the workspace: geometry, generators and checkers that share no code with the library.

pub mod bodies;
pub mod check_answer;
pub mod check_plan;
pub mod fuzz;
pub mod generate;
pub mod generate_survey;
pub mod generate_wet;
pub mod plane;
pub mod transform;
