"""What invoices, credit notes, receipts and statements say on paper: from plain data to the context of a template."""
