"""The cable under load, and what posts carry: functions of plain numbers in mm, N, N/mm2 and K."""
