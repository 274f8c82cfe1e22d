"""What to do now: leave the crop, give nitrogen, or dig again; from the balance, the window and the prices."""
