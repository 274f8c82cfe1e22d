"""The ground itself: where a field lies, which part of it the stops speak for, and where a check strip runs."""
