"""What a laboratory's results say of a field: the share fixed, what it hangs on, and what the crop leaves."""
