"""Why it failed: causes ranked from the evidence, look-alikes told apart, and the next check worth making."""
