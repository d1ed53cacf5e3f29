registerProcessor("capture",class extends AudioWorkletProcessor{process(r){let e=r[0]??[];return e.length>0&&this.port.postMessage(e.map(s=>s.slice())),!0}});
