"""The catalog knows and decides: tables, formulas, rules, answers; no HTTP, SQL or clock."""
