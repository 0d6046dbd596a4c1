"""The words of the trade: lengths, quantities, lumber, mattresses, fasteners, frames and designs."""
