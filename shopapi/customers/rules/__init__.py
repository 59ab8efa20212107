"""Rules of customers: who they are (`customer`) and how an address book becomes them (`address_*`)."""
