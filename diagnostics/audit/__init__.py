"""What the owner's audit counts: selections in the database, arithmetic on the counts that come back."""
