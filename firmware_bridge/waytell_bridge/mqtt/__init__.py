"""A bridge's readings over a message broker, MQTT version 5: what goes over it, its two ends, and their clocks."""
