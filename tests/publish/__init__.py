"""Bad tables that an office may propose: one file for each reason to doubt or refuse one."""
