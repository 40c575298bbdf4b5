-- Version 3: entries that were recorded in one step are taken back in one step.

ALTER TABLE entry ADD COLUMN batch INTEGER NOT NULL DEFAULT 0;
UPDATE entry SET batch = number;
