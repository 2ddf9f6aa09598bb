"""Publishing over real HTTP, as an office, an approver and an ERP do it."""
