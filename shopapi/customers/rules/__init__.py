"""Rules of customers: their schemas (`customer`) and the import of address books (`address_*`)."""
