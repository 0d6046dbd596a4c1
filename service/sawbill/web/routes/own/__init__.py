"""What one person keeps, as pages with forms; programs have the same at the addresses that are described."""
