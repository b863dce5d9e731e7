import json
from pathlib import Path
def test_dump(maker):
    with open('/tmp/items2.jsonl','w') as f:
        for s in range(1,1001): f.write(json.dumps(maker.make("best-fit",s))+'\n')
