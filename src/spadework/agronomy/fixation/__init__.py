"""Fixation as a laboratory measures it, and what the crop leaves. Each method is a module; none is averaged."""
