//! Shared by the tests of the workspace.
