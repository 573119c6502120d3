"""What the virtual bike obeys: pure functions on SI floats and a build; randomness is passed in."""
