"""The service side of the job: what proves a repair, and the trade's calculations."""
