"""The science of wood: numbers in, numbers out. No book, no clock, no terminal."""
