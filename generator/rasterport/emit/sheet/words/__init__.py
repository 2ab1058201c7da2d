"""The words of the bench sheet: what each section says, as plain records without markup."""
