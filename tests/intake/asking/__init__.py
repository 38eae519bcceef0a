"""Tests of the questions that build a reading."""
