"""The office: propose, report, approve, activate, withdraw; HTTP and command line both ask here."""
