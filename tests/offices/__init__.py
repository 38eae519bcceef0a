"""Offices made at random: designs whose truth is known, written as workbooks in composed habits."""
