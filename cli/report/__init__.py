"""The report of a job: what is known of it -> a customer's and a shop's page -> a format."""
