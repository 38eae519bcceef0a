"""What each table is and what each of its columns holds, by words, values and relations together."""
