"""Heart rate in training as a sensor would record it, from an explicit random generator."""
