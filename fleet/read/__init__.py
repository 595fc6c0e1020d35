"""From a workbook to tanks, readings, work and the problems met."""
