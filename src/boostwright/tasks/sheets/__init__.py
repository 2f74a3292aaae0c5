"""The sheets that leave the desk: go / no-go, dyno card, order sheet, pocket card."""
