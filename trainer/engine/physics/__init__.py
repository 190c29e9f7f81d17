"""The only floats of the engine: exponentials, built so that every machine agrees."""
