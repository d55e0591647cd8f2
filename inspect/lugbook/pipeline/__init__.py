"""The stages in order: load -> assess -> compose -> render -> write, a module for each thing that a command needs."""
