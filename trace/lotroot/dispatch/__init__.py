"""Which shipment took which goods to whom, and what came back?"""
