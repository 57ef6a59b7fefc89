//! budgets (being written)
