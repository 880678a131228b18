"""The bench window: snapshots into pictures, clicks into acts; the only place that imports Qt."""
